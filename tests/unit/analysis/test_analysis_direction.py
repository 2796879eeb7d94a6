"""Which direction eased, and how it is told. The rules are common practice, no source."""

from collections.abc import Callable

import pytest

from voicelog.analysis.caveats import Doubt
from voicelog.analysis.comparison import Comparison
from voicelog.analysis.direction import Direction, Eased, Missing, NextStep, directions
from voicelog.analysis.tables import COMMON_PRACTICE
from voicelog.data_files.languages import language_folder, load_language
from voicelog.records.entry import Entry
from voicelog.telling.directions import direction_spoken, direction_words

ENGLISH = load_language(language_folder())

Make = Callable[..., Entry]
Compare = Callable[..., tuple[Comparison, ...]]
Directed = Callable[..., Direction]


@pytest.fixture
def directed(trial: Make, compare: Compare) -> Directed:
    """The direction after a baseline of pain 6 and the given pains; None leaves a trial out."""

    def of(gap: int | None, compression: int | None, *more: Entry, **slots: object) -> Direction:
        entries = [trial("a", 0, "baseline", pain=6), *more]
        if gap is not None:
            entries.append(trial("g", 1, "gap", pain=gap, **slots))
        if compression is not None:
            entries.append(trial("c", 2, "compression", pain=compression))
        (found,) = directions(compare(*entries))
        return found

    return of


@pytest.mark.parametrize(
    ("gap", "compression", "eased", "step"),
    [
        (3, 6, Eased.GAP, NextStep.TRAIN_GAP),
        (6, 3, Eased.COMPRESSION, NextStep.TRAIN_COMPRESSION),
        (3, 2, Eased.BOTH, NextStep.TRAIN_EITHER),
        (6, 5, Eased.NEITHER, NextStep.REASSESS),
        (3, None, Eased.NOT_ENOUGH, NextStep.TRY_COMPRESSION),
        (6, None, Eased.NOT_ENOUGH, NextStep.TRY_COMPRESSION),
        (None, 3, Eased.NOT_ENOUGH, NextStep.TRY_GAP),
    ],
)
def test_both_directions_are_weighed_against_the_same_baseline(
    directed: Directed, gap: int | None, compression: int | None, eased: Eased, step: NextStep
) -> None:
    found = directed(gap, compression)
    assert (found.eased, found.next_step) == (eased, step)
    assert "Suggestion for a licensed person to weigh:" in direction_words(found, ENGLISH)
    assert direction_words(found, ENGLISH).endswith(f"({COMMON_PRACTICE}).")


def test_the_missing_half_is_named(directed: Directed) -> None:
    assert directed(3, None).missing == (Missing.COMPRESSION_TRIAL,)
    assert directed(3, 6).missing == (Missing.RETEST,)
    assert directed(6, 6).missing == ()


def test_a_larger_angle_eases_when_pain_is_not_higher(trial: Make, compare: Compare) -> None:
    def eased(pain: int | None) -> Eased:
        found = directions(
            compare(
                trial("a", 0, "baseline", pain=6, range_deg=40, instrument="inclinometer"),
                trial("g", 1, "gap", pain=pain, range_deg=44, instrument="inclinometer"),
                trial("c", 2, "compression", pain=6, range_deg=40, instrument="inclinometer"),
            )
        )
        return found[0].eased

    assert eased(6) is Eased.GAP
    assert eased(None) is Eased.GAP
    assert eased(7) is Eased.NEITHER


def test_an_angle_that_is_smaller_within_the_error_takes_no_ease_away(
    trial: Make, compare: Compare
) -> None:
    def eased(onset_deg: int) -> Eased:
        angles = {"range_deg": 40, "onset_deg": 30}
        by = {"instrument": "inclinometer"}
        found = directions(
            compare(
                trial("a", 0, "baseline", pain=6, **angles, **by),
                trial("g", 1, "gap", pain=6, range_deg=44, onset_deg=onset_deg, **by),
                trial("c", 2, "compression", pain=6, **angles, **by),
            )
        )
        return found[0].eased

    assert eased(29) is Eased.GAP
    assert eased(26) is not Eased.GAP  # pain that starts so much earlier is a stop event


def test_a_stop_event_is_never_read_as_ease_and_asks_for_review(directed: Directed) -> None:
    stopped = directed(2, 6, quality=("tingling",))
    assert stopped.eased is Eased.NOT_ENOUGH
    assert stopped.missing == (Missing.GAP_WITHOUT_STOP,)
    assert stopped.next_step is NextStep.REVIEW_STOP
    assert direction_spoken(stopped, ENGLISH).startswith("Stop and review.")
    other_eased = directed(2, 3, quality=("tingling",))
    assert other_eased.eased is Eased.COMPRESSION
    assert other_eased.next_step is NextStep.REVIEW_STOP


def test_a_trial_that_could_not_be_done_is_not_asked_for_again(
    trial: Make, directed: Directed
) -> None:
    unable = trial("u", 2, "compression", outcome="unable")
    eased = directed(3, None, unable)
    assert eased.eased is Eased.GAP
    assert eased.missing == (Missing.COMPRESSION_POSSIBLE, Missing.RETEST)
    not_eased = directed(6, None, unable)
    assert not_eased.eased is Eased.NOT_ENOUGH
    assert not_eased.next_step is NextStep.REASSESS


@pytest.mark.parametrize("start", [0, 1])
def test_pain_too_low_to_fall_beyond_its_error_says_nothing_of_a_direction(
    trial: Make, compare: Compare, start: int
) -> None:
    """The error of one person is 2 points (CHILDS2005): from 0 or 1 no fall can reach it."""

    def found(gap: int, gap_deg: int, compression: int) -> Direction:
        slots = {"range_deg": 40, "instrument": "inclinometer"}
        (one,) = directions(
            compare(
                trial("a", 0, "baseline", pain=start, **slots),
                trial("g", 1, "gap", pain=gap, **{**slots, "range_deg": gap_deg}),
                trial("c", 2, "compression", pain=compression, **slots),
            )
        )
        return one

    recovered = found(0, 41, start)
    assert recovered.eased is Eased.NOT_ENOUGH
    assert recovered.missing == (Missing.PAIN_TO_LOWER,)
    assert recovered.next_step is NextStep.NEXT_VISIT
    assert found(start, 44, start).eased is Eased.GAP  # 4 degrees of KOLBER2009
    assert found(start + 1, 40, start + 1).eased is Eased.NEITHER


def test_trials_that_disagree_are_said_and_the_latest_counts(
    trial: Make, directed: Directed
) -> None:
    found = directed(3, 6, trial("g0", 0.5, "gap", pain=6))
    assert found.eased is Eased.GAP
    assert [(c.doubt, c.about) for c in found.caveats] == [(Doubt.DISAGREEING_TRIALS, ("g0", "g"))]
    assert "The gap trials g0 and g do not agree" in direction_words(found, ENGLISH)


def test_without_a_baseline_there_is_not_enough_to_say(trial: Make, compare: Compare) -> None:
    (found,) = directions(
        compare(trial("g", 1, "gap", pain=0), trial("c", 2, "compression", pain=6))
    )
    assert found.eased is Eased.NOT_ENOUGH
    assert found.missing == (Missing.GAP_NUMBERS, Missing.COMPRESSION_NUMBERS)
    assert found.next_step is NextStep.TAKE_NUMBERS


def test_the_spoken_sentence_is_one_short_sentence(directed: Directed) -> None:
    assert direction_spoken(directed(3, 6), ENGLISH) == "Gap eased it: pain 6 to 3."
    assert direction_spoken(directed(6, 3), ENGLISH) == "Compression eased it: pain 6 to 3."
    assert direction_spoken(directed(3, 3), ENGLISH) == "Both gap and compression eased it."
    assert direction_spoken(directed(6, 6), ENGLISH) == "Neither gap nor compression eased it."
    assert (
        direction_spoken(directed(3, None), ENGLISH)
        == "Not enough to say: missing a compression trial."
    )


def test_each_movement_has_its_own_direction_with_its_evidence(
    trial: Make, compare: Compare
) -> None:
    left = {"side": "left"}
    one, two = directions(
        compare(
            trial("a", 0, "baseline", pain=6),
            trial("b", 0, "baseline", pain=6, **left),
            trial("g", 1, "gap", pain=3),
            trial("h", 2, "gap", pain=6, **left),
            trial("c", 3, "compression", pain=6),
            trial("d", 4, "compression", pain=2, **left),
            trial("r", 5, "retest", pain=1),
        )
    )
    assert (one.eased, two.eased) == (Eased.GAP, Eased.COMPRESSION)
    assert [c.trial for c in one.trials] == ["g", "c"]
    assert [c.trial for c in one.retests] == ["r"]
    assert [c.trial for c in two.trials] == ["h", "d"]
