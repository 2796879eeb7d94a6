"""Values that are missing, small, or of another kind than those beside them: each is said."""

import pytest

from tests.unit.analysis.doubts import ENGLISH, Compare, Make, doubts
from voicelog.analysis.caveats import Caveat, Doubt
from voicelog.telling.comparisons import comparison_words


def test_start_of_pain_and_end_of_range_do_not_compare(trial: Make, compare: Compare) -> None:
    (found,) = compare(
        trial("a", 0, "baseline", onset_deg=40),
        trial("b", 1, "gap", range_deg=60),
    )
    assert found.range is None
    assert doubts(found) == {Doubt.DIFFERENT_ONSET}


def test_start_of_pain_and_end_of_range_each_compare_with_their_own(
    trial: Make, compare: Compare
) -> None:
    (found,) = compare(
        trial("a", 0, "baseline", onset_deg=40, range_deg=60, instrument="goniometer"),
        trial("b", 1, "gap", onset_deg=55, range_deg=62, instrument="goniometer"),
    )
    assert found.onset is not None
    assert found.range is not None
    assert (found.onset.before, found.onset.after, found.onset.onset) == (40, 55, True)
    assert (found.range.before, found.range.after, found.range.onset) == (60, 62, False)
    assert Doubt.ERROR_FOR_END in doubts(found)


def test_an_angle_that_only_one_of_two_has_is_said(trial: Make, compare: Compare) -> None:
    first, second = compare(
        trial("a", 0, "baseline", range_deg=60),
        trial("b", 1, "gap", onset_deg=55, range_deg=62),
        trial("c", 2, "retest", onset_deg=55),
    )
    assert (first.onset, first.range is None) == (None, False)
    assert ("onset",) in [c.said for c in first.caveats if c.doubt is Doubt.ONE_ANGLE]
    assert second.angles == ()
    assert Doubt.DIFFERENT_ONSET in doubts(second)


def test_an_instrument_that_nobody_named_is_said(trial: Make, compare: Compare) -> None:
    (neither,) = compare(
        trial("a", 0, "baseline", range_deg=40), trial("b", 1, "gap", range_deg=60)
    )
    (one,) = compare(
        trial("a", 0, "baseline", range_deg=40, instrument="inclinometer"),
        trial("b", 1, "gap", range_deg=60),
    )
    assert Doubt.NO_INSTRUMENT in doubts(neither)
    assert doubts(one) == {Doubt.UNSAID_INSTRUMENT}


def test_without_a_published_error_the_difference_has_no_label(
    trial: Make, compare: Compare
) -> None:
    jaw = {"joint": "jaw", "motion": "opening", "side": None, "instrument": "goniometer"}
    (found,) = compare(
        trial("a", 0, "baseline", range_deg=20, **jaw), trial("b", 1, "gap", range_deg=30, **jaw)
    )
    assert found.range is not None
    assert (found.range.change, found.range.label) == (10, None)
    told = comparison_words(found, ENGLISH)
    assert "No published error is known for jaw opening measured in this way" in told


@pytest.mark.parametrize(
    ("start", "doubt"), [(0, Doubt.NO_PERCENT), (1, Doubt.SMALL_START), (3, Doubt.SMALL_START)]
)
def test_a_small_start_is_said(trial: Make, compare: Compare, start: int, doubt: Doubt) -> None:
    (found,) = compare(trial("a", 0, "baseline", pain=start), trial("b", 1, "gap", pain=0))
    assert doubts(found) == {doubt}


def test_a_start_of_four_is_no_small_start(trial: Make, compare: Compare) -> None:
    (found,) = compare(trial("a", 0, "baseline", pain=4), trial("b", 1, "gap", pain=1))
    assert found.caveats == ()


def test_missing_values_are_said_for_the_record_that_lacks_them(
    trial: Make, compare: Compare
) -> None:
    no_pain, no_range = compare(
        trial("a", 0, "baseline", range_deg=40),
        trial("b", 1, "gap", pain=3, range_deg=44, instrument="inclinometer"),
        trial("c", 2, "compression", pain=3),
    )
    assert Doubt.BASELINE_WITHOUT_PAIN in doubts(no_pain)
    assert Doubt.TRIAL_WITHOUT_RANGE in doubts(no_range)
    (silent,) = compare(
        trial("d", 0, "baseline", pain=6, range_deg=40, instrument="inclinometer"),
        trial("e", 1, "gap", range_deg=44, instrument="inclinometer"),
    )
    assert Caveat(Doubt.TRIAL_WITHOUT_PAIN, ("e",)) in silent.caveats


def test_a_pain_free_repetition_counts_as_zero_and_says_so(trial: Make, compare: Compare) -> None:
    (found,) = compare(
        trial("a", 0, "baseline", pain=5), trial("b", 1, "gap", outcome="pain free rep")
    )
    assert found.pain is not None
    assert found.pain.after == 0
    assert doubts(found) == {Doubt.PAIN_FREE_REP}


def test_so_does_one_that_a_trial_is_compared_with(trial: Make, compare: Compare) -> None:
    (found,) = compare(
        trial("a", 0, "baseline", outcome="pain free rep"), trial("b", 1, "gap", pain=3)
    )
    assert Caveat(Doubt.PAIN_FREE_REP, ("a",)) in found.caveats
    assert Caveat(Doubt.PAIN_FREE_REP, ("b",)) not in found.caveats


def test_a_trial_that_could_not_be_done_is_not_rated(trial: Make, compare: Compare) -> None:
    (found,) = compare(
        trial("a", 0, "baseline", pain=5), trial("b", 1, "gap", outcome="unable", pain=2)
    )
    assert found.pain is None
    assert Doubt.UNABLE in doubts(found)
