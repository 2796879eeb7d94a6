"""What is known before an utterance, in nats: each angle outside its plausible range costs 3, each
that lies 40 degrees or more from all of the visit 1.5. Expected weights are worked out by hand."""

import pytest

from voicelog.grammar.parse import Intent, SlotValue
from voicelog.grammar.posterior import Prior
from voicelog.records.content import Trial

KNEE = Trial(side="left", joint="knee", motion="flexion", phase="baseline", range_deg=58)
ELBOW = Trial(side="right", joint="elbow", motion="flexion", phase="gap", range_deg=140)
PLAUSIBLE = {("knee", "flexion"): (40, 150), ("elbow", "flexion"): (90, 160)}
KNOWN = Prior(carried=KNEE, plausible=PLAUSIBLE, corrected=ELBOW)


@pytest.mark.parametrize(
    ("slots", "weight"),
    [
        ({"pain": 9}, 0),
        ({"range_deg": 40}, 0),
        ({"range_deg": 150}, 0),
        ({"range_deg": 39}, -3),
        ({"range_deg": 151}, -3),
        ({"range_deg": 151, "onset_deg": 30}, -6),
        ({"range_deg": 151, "joint": "elbow"}, 0),
        ({"range_deg": 0, "joint": "wrist"}, 0),
        ({"range_deg": 180, "joint": "wrist"}, 0),
        ({"range_deg": 181, "joint": "wrist"}, -3),
    ],
)
def test_angles_outside_the_range_of_their_movement_weigh_less(
    slots: dict[str, SlotValue], weight: float
) -> None:
    assert KNOWN.log_weight(Intent("record", slots)) == weight


def test_a_correction_is_weighed_by_the_movement_that_it_is_of() -> None:
    said: dict[str, SlotValue] = {"range_deg": 60}
    assert KNOWN.log_weight(Intent("command", said, command="correction")) == -3
    assert KNOWN.log_weight(Intent("record", said)) == 0


@pytest.mark.parametrize(
    ("earlier_deg", "said", "weight"),
    [
        ((), {"range_deg": 100}, 0),
        ((58,), {"pain": 9}, 0),
        ((58,), {"range_deg": 97}, 0),
        ((58,), {"range_deg": 98}, -1.5),
        ((58,), {"range_deg": 98, "onset_deg": 60}, -1.5),
        ((58,), {"range_deg": 99, "onset_deg": 98}, -3),
        ((58, 130), {"range_deg": 100}, 0),
        ((58, 150), {"range_deg": 105}, -1.5),
    ],
)
def test_an_angle_far_from_all_others_of_its_movement_weighs_less(
    earlier_deg: tuple[int, ...], said: dict[str, SlotValue], weight: float
) -> None:
    earlier = tuple(KNEE.model_copy(update={"range_deg": deg}) for deg in earlier_deg)
    prior = Prior(carried=KNEE, earlier=(ELBOW, *earlier), plausible=PLAUSIBLE)
    assert prior.log_weight(Intent("record", said)) == weight
