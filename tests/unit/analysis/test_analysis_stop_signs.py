"""What takes the word "better" away from a trial: stop events, and pain that asks for review."""

import pytest

from tests.unit.analysis.doubts import ENGLISH, Compare, Make, doubts
from voicelog.analysis.caveats import Doubt
from voicelog.analysis.comparison import Comparer
from voicelog.analysis.pain import PainLabel
from voicelog.analysis.range_error import RangeLabel
from voicelog.analysis.sift import Occasion
from voicelog.telling.comparisons import comparison_words


@pytest.mark.parametrize(
    ("slots", "code"),
    [
        ({"quality": ("numb",)}, "STOP_NEURO"),
        ({"quality": ("tingling",)}, "STOP_NEURO"),
        ({"quality": ("pins and needles",)}, "STOP_NEURO"),
        ({"quality": ("sharp",)}, "STOP_PAIN_SHARP"),
        ({"quality": ("dull", "electric")}, "STOP_PAIN_SHARP"),
        ({"quality": ("throbbing",)}, "STOP_VASC"),
        ({"quality": ("apprehension",)}, "STOP_INSTAB"),
        ({"quality": ("giving way",)}, "STOP_INSTAB"),
        ({"quality": ("locking",)}, "STOP_LOCK"),
        ({"quality": ("guarding",)}, "STOP_GUARD"),
        ({"end_feel": "empty"}, "STOP_GUARD"),
        ({"quality": ("dizzy",)}, "STOP_GENERAL"),
    ],
)
def test_a_stop_event_takes_the_label_lower_away(
    trial: Make, compare: Compare, slots: dict[str, object], code: str
) -> None:
    (found,) = compare(
        trial("a", 0, "baseline", pain=6, range_deg=40, instrument="inclinometer"),
        trial("b", 1, "gap", pain=2, range_deg=60, instrument="inclinometer", **slots),
    )
    assert found.pain is not None
    assert found.range is not None
    assert found.pain.label is PainLabel.NOT_RATED
    assert found.range.label is RangeLabel.NOT_RATED
    assert [stop.code for stop in found.stops] == [code]
    told = comparison_words(found, ENGLISH)
    assert "not rated: stop event." in told
    assert "pain 6 to 2" in told.lower()


def test_a_stop_event_is_told_by_what_raised_it_and_not_by_its_code(
    trial: Make, compare: Compare
) -> None:
    (found,) = compare(
        trial("a", 0, "baseline", pain=6), trial("b", 1, "gap", pain=8, quality=("numb",))
    )
    told = comparison_words(found, ENGLISH)
    assert "Stop event: numb, pain 6 to 8." in told
    assert "STOP_" not in told


def test_pain_two_above_the_baseline_is_a_stop_event(trial: Make, compare: Compare) -> None:
    within, beyond = compare(
        trial("a", 0, "baseline", pain=3),
        trial("b", 1, "gap", pain=4),
        trial("c", 2, "compression", pain=5),
    )
    assert within.stops == ()
    assert [stop.code for stop in beyond.stops] == ["STOP_PAIN_RISE"]
    assert beyond.pain is not None
    assert beyond.pain.label is PainLabel.HIGHER_BEYOND
    assert "stop and review" in comparison_words(beyond, ENGLISH)


def test_pain_that_starts_earlier_beyond_error_is_a_stop_event(
    trial: Make, compare: Compare
) -> None:
    later, earlier = compare(
        trial("a", 0, "baseline", onset_deg=40, instrument="inclinometer"),
        trial("b", 1, "gap", onset_deg=37, instrument="inclinometer"),
        trial("c", 2, "compression", onset_deg=36, instrument="inclinometer"),
    )
    assert later.stops == ()
    assert [stop.code for stop in earlier.stops] == ["STOP_IN_RANGE"]
    assert doubts(earlier) == {Doubt.ERROR_FOR_END}


def test_a_smaller_end_of_range_alone_is_no_stop_event(trial: Make, compare: Compare) -> None:
    (found,) = compare(
        trial("a", 0, "baseline", range_deg=40, instrument="inclinometer"),
        trial("b", 1, "gap", range_deg=30, instrument="inclinometer"),
    )
    assert found.range is not None
    assert found.range.label is RangeLabel.LESS_BEYOND
    assert found.stops == ()


def test_pain_above_five_in_a_trial_or_its_baseline_asks_for_review(
    trial: Make, compare: Compare
) -> None:
    at_five, above = compare(
        trial("a", 0, "baseline", pain=8),
        trial("b", 1, "gap", pain=5),
        trial("c", 2, "compression", pain=6),
    )
    said = [[c.about for c in found.caveats] for found in (at_five, above)]
    assert said == [[("a",)], [("a",), ("c",)]]
    assert doubts(at_five) == doubts(above) == {Doubt.ABOVE_CEILING}


def test_a_stop_word_in_a_baseline_is_kept_for_the_visit_and_said_in_the_comparison(
    trial: Make, comparer: Comparer, occasion: Occasion
) -> None:
    visit = comparer.visit(
        occasion,
        [trial("a", 0, "baseline", pain=5, quality=("sharp",)), trial("b", 1, "gap", pain=2)],
    )
    assert [(name, stop.code) for name, stop in visit.baseline_stops] == [("a", "STOP_PAIN_SHARP")]
    assert doubts(visit.comparisons[0]) == {Doubt.BASELINE_STOPPED}
