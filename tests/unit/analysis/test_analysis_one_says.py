"""Angles of which only one of two records says how they were taken, or which they are."""

import pytest

from tests.unit.analysis.doubts import Compare, Make, doubts
from voicelog.analysis.caveats import Doubt


@pytest.mark.parametrize("said_by", ["baseline", "trial", "both"])
@pytest.mark.parametrize("slot", ["instrument", "manner"])
def test_what_only_one_of_the_two_says_holds_for_both(
    trial: Make, compare: Compare, slot: str, said_by: str
) -> None:
    """The published error is that of the measurement as far as anybody said it."""
    said = {"instrument": "goniometer", "manner": "weight bearing", "position": "standing"}
    ankle = {"side": "left", "joint": "ankle", "motion": "dorsiflexion", **said}
    before = {k: v for k, v in ankle.items() if k != slot or said_by != "trial"}
    after = {k: v for k, v in ankle.items() if k != slot or said_by != "baseline"}
    whole, partly = (
        compare(
            trial("a", 0, "baseline", range_deg=30, **one),
            trial("b", 1, "gap", range_deg=36, **other),
        )[0]
        for one, other in ((ankle, ankle), (before, after))
    )
    assert whole.range is not None
    assert partly.range is not None
    assert partly.range.error == whole.range.error


def test_two_starts_of_pain_compare_without_any_end(trial: Make, compare: Compare) -> None:
    (found,) = compare(
        trial("a", 0, "baseline", onset_deg=30, instrument="goniometer"),
        trial("b", 1, "gap", onset_deg=45, instrument="goniometer"),
    )
    assert found.range is None
    assert found.onset is not None
    assert (found.onset.before, found.onset.after) == (30, 45)


@pytest.mark.parametrize(("lone", "said"), [("range_deg", "range"), ("onset_deg", "onset")])
def test_the_angle_that_only_one_says_is_named(
    trial: Make, compare: Compare, lone: str, said: str
) -> None:
    shared = "onset_deg" if lone == "range_deg" else "range_deg"
    (found,) = compare(
        trial("a", 0, "baseline", **{shared: 30}), trial("b", 1, "gap", **{shared: 40, lone: 50})
    )
    assert Doubt.ONE_ANGLE in doubts(found)
    assert (said,) in [c.said for c in found.caveats if c.doubt is Doubt.ONE_ANGLE]
