"""Which of several trials of one direction counts, and what one that says nothing changes."""

import pytest

from tests.unit.analysis.doubts import Compare, Make
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
