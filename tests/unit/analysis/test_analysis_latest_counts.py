"""Which of several trials of one direction counts, and what one that says nothing changes."""

import pytest

from tests.unit.analysis.doubts import Make, doubts
from tests.unit.analysis.test_analysis_direction import Compare
from voicelog.analysis.caveats import Doubt
from voicelog.analysis.direction import Direction, Missing, directions
from voicelog.records.entry import Entry


def of(compare: Compare, *entries: Entry) -> Direction:
    (found,) = directions(compare(*entries))
    return found


def test_the_last_of_three_counts(trial: Make, compare: Compare) -> None:
    gaps = (trial(f"g{n}", n, "gap", pain=pain) for n, pain in ((1, 6), (2, 3), (3, 6)))
    found = of(compare, trial("a", 0, "baseline", pain=6), *gaps)
    assert found.gap is not None
    assert found.gap.trial == "g3"
    (caveat,) = found.caveats
    assert (caveat.doubt, caveat.about) == (Doubt.DISAGREEING_TRIALS, ("g1", "g2", "g3"))


def test_one_without_numbers_hides_none_that_has_them(trial: Make, compare: Compare) -> None:
    first, silent = trial("g", 1, "gap", pain=3), trial("n", 2, "gap", quality=("firm",))
    found = of(compare, trial("a", 0, "baseline", pain=6), first, silent)
    assert found.gap is not None
    assert found.gap.trial == "g"
    assert found.caveats == ()


@pytest.mark.parametrize(("start", "said"), [(1, False), (2, True)])
def test_a_start_of_just_the_error_can_still_fall_by_it(
    trial: Make, compare: Compare, start: int, said: bool
) -> None:
    """The error of one person is 2 points (CHILDS2005)."""
    kept = trial("g", 1, "gap", pain=start)
    found = of(compare, trial("a", 0, "baseline", pain=start), kept)
    assert (Missing.PAIN_TO_LOWER not in found.missing) is said


def test_where_a_retest_is_on_record_none_is_missing(trial: Make, compare: Compare) -> None:
    found = of(
        compare,
        trial("a", 0, "baseline", pain=6),
        trial("g", 1, "gap", pain=3),
        trial("c", 2, "compression", pain=6),
        trial("r", 3, "retest", pain=3),
    )
    assert found.missing == ()


@pytest.mark.parametrize("said_by", ["baseline", "trial", "both"])
@pytest.mark.parametrize("slot", ["instrument", "manner", "position"])
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
