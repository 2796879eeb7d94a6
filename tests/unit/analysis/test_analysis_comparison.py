"""Trials against their baselines, and everything that can stand in the way."""

from collections.abc import Callable
from typing import cast

import pytest

from voicelog.analysis.caveats import Doubt
from voicelog.analysis.comparison import Comparer, Comparison
from voicelog.analysis.pain import PainLabel
from voicelog.analysis.range_error import RangeLabel
from voicelog.analysis.sift import Occasion
from voicelog.grammar_files import language_folder, load_language
from voicelog.records.content import Note, Trial
from voicelog.records.entry import Entry
from voicelog.telling.comparisons import comparison_words

ENGLISH = load_language(language_folder())

Make = Callable[..., Entry]
Compare = Callable[..., tuple[Comparison, ...]]


def doubts(comparison: Comparison) -> set[Doubt]:
    return {caveat.doubt for caveat in comparison.caveats}


def test_a_trial_is_compared_with_its_baseline_with_numbers_threshold_and_source(
    trial: Make, compare: Compare
) -> None:
    (found,) = compare(
        trial("a", 0, "baseline", pain=6, range_deg=40, instrument="inclinometer"),
        trial("b", 1, "gap", pain=3, range_deg=52, instrument="inclinometer"),
    )
    assert (found.trial, found.baseline) == ("b", "a")
    assert found.pain is not None
    assert found.pain.label is PainLabel.LOWER_BEYOND
    assert (found.pain.change, found.pain.percent) == (-3, -50.0)
    assert found.pain.rule.floor.source_key == "CHILDS2005"
    assert found.range is not None
    assert found.range.error is not None
    assert found.range.label is RangeLabel.MORE_BEYOND
    assert (found.range.change, found.range.error.degrees) == (12, 4.0)
    assert (found.range.error.row.source_key, found.range.error.row.status) == (
        "KOLBER2009",
        "seen",
    )
    assert found.caveats == ()
    words = comparison_words(found, ENGLISH)
    assert words.endswith("Same-visit change.")
    assert "treatment" not in words


def test_a_baseline_spoken_at_the_very_time_of_a_trial_counts_as_before_it(
    trial: Make, compare: Compare
) -> None:
    (found,) = compare(trial("a", 0, "gap", pain=3), trial("z", 0, "baseline", pain=6))
    assert found.baseline == "z"


def test_each_trial_takes_the_latest_baseline_before_it_and_says_so(
    trial: Make, compare: Compare
) -> None:
    first, second = compare(
        trial("a", 0, "baseline", pain=8),
        trial("b", 1, "gap", pain=4),
        trial("c", 2, "baseline", pain=5),
        trial("d", 3, "compression", pain=4),
    )
    assert (first.baseline, second.baseline) == ("a", "c")
    assert Doubt.MORE_BASELINES not in doubts(first)
    assert Doubt.MORE_BASELINES in doubts(second)
    assert "2 baselines come before this trial; c is used" in comparison_words(second, ENGLISH)


def test_a_baseline_of_another_side_joint_or_motion_is_no_baseline(
    trial: Make, compare: Compare
) -> None:
    (found,) = compare(
        trial("a", 0, "baseline", pain=6, side="left"),
        trial("b", 1, "baseline", pain=6, joint="elbow", motion="flexion"),
        trial("c", 2, "baseline", pain=6, motion="external rotation"),
        trial("d", 3, "gap", pain=3),
    )
    assert found.baseline is None
    assert doubts(found) == {Doubt.NO_BASELINE}
    assert found.pain is None
    assert "nothing is compared" in comparison_words(found, ENGLISH)


@pytest.mark.parametrize(
    ("phase", "doubt"),
    [
        ("retest", Doubt.BASELINE_AFTER_RETEST),
        ("gap", Doubt.BASELINE_AFTER_TRIAL),
        ("compression", Doubt.BASELINE_AFTER_TRIAL),
    ],
)
def test_a_trial_before_its_baseline_is_not_compared(
    trial: Make, compare: Compare, phase: str, doubt: Doubt
) -> None:
    (found,) = compare(trial("a", 5, "baseline", pain=6), trial("b", 1, phase, pain=2))
    assert found.pain is None
    assert doubts(found) == {doubt}


@pytest.mark.parametrize(
    ("slot", "one", "other", "doubt"),
    [
        ("manner", "passive", "active", Doubt.DIFFERENT_MANNER),
        ("position", "standing", "sitting", Doubt.DIFFERENT_POSITION),
    ],
)
def test_another_manner_or_position_is_not_compared_at_all(
    trial: Make, compare: Compare, slot: str, one: str, other: str, doubt: Doubt
) -> None:
    (found,) = compare(
        trial("a", 0, "baseline", pain=6, range_deg=40, **{slot: one}),
        trial("b", 1, "gap", pain=2, range_deg=50, **{slot: other}),
    )
    assert (found.baseline, found.pain, found.range) == (None, None, None)
    assert doubts(found) == {doubt}
    assert one in comparison_words(found, ENGLISH)
    assert other in comparison_words(found, ENGLISH)


@pytest.mark.parametrize("slot", ["manner", "position"])
def test_a_manner_or_position_said_only_once_is_taken_for_both_and_said(
    trial: Make, compare: Compare, slot: str
) -> None:
    (found,) = compare(
        trial("a", 0, "baseline", pain=6, **{slot: "active"}), trial("b", 1, "gap", pain=2)
    )
    assert found.pain is not None
    assert doubts(found) == {Doubt.UNSAID_MANNER if slot == "manner" else Doubt.UNSAID_POSITION}


def test_other_instruments_leave_pain_and_take_the_range_away(
    trial: Make, compare: Compare
) -> None:
    (found,) = compare(
        trial("a", 0, "baseline", pain=6, range_deg=40, instrument="inclinometer"),
        trial("b", 1, "gap", pain=2, range_deg=60, instrument="goniometer"),
    )
    assert found.pain is not None
    assert found.range is None
    assert doubts(found) == {Doubt.DIFFERENT_INSTRUMENT}


def test_of_two_baselines_the_one_with_the_same_instrument_serves(
    trial: Make, compare: Compare
) -> None:
    (found,) = compare(
        trial("a", 0, "baseline", pain=6, range_deg=40, instrument="inclinometer"),
        trial("b", 1, "baseline", pain=6, range_deg=44, instrument="goniometer"),
        trial("c", 2, "gap", pain=3, range_deg=50, instrument="inclinometer"),
    )
    assert found.baseline == "a"
    assert found.range is not None
    assert doubts(found) == {Doubt.MORE_BASELINES}


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
    assert "No published error is known for this" in comparison_words(found, ENGLISH)


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


def test_a_pain_free_repetition_counts_as_zero_and_says_so(trial: Make, compare: Compare) -> None:
    (found,) = compare(
        trial("a", 0, "baseline", pain=5), trial("b", 1, "gap", outcome="pain free rep")
    )
    assert found.pain is not None
    assert found.pain.after == 0
    assert doubts(found) == {Doubt.PAIN_FREE_REP}


def test_a_trial_that_could_not_be_done_is_not_rated(trial: Make, compare: Compare) -> None:
    (found,) = compare(
        trial("a", 0, "baseline", pain=5), trial("b", 1, "gap", outcome="unable", pain=2)
    )
    assert found.pain is None
    assert Doubt.UNABLE in doubts(found)


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
    assert f"not rated: stop event ({code})" in comparison_words(found, ENGLISH)
    assert "pain 6 to 2" in comparison_words(found, ENGLISH).lower()


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


def test_pain_above_five_in_a_trial_asks_for_review(trial: Make, compare: Compare) -> None:
    at_five, above = compare(
        trial("a", 0, "baseline", pain=8),
        trial("b", 1, "gap", pain=5),
        trial("c", 2, "compression", pain=6),
    )
    assert at_five.caveats == ()
    assert doubts(above) == {Doubt.ABOVE_CEILING}


def test_a_stop_word_in_a_baseline_is_kept_for_the_visit_and_said_in_the_comparison(
    trial: Make, comparer: Comparer, occasion: Occasion
) -> None:
    visit = comparer.visit(
        occasion,
        [trial("a", 0, "baseline", pain=6, quality=("sharp",)), trial("b", 1, "gap", pain=2)],
    )
    assert [(name, stop.code) for name, stop in visit.baseline_stops] == [("a", "STOP_PAIN_SHARP")]
    assert doubts(visit.comparisons[0]) == {Doubt.BASELINE_STOPPED}


def test_records_of_another_client_or_visit_are_left_out_and_said(
    trial: Make, comparer: Comparer, occasion: Occasion
) -> None:
    visit = comparer.visit(
        occasion,
        [
            trial("a", 0, "baseline", pain=6),
            trial("b", 1, "gap", pain=3),
            trial("x", 2, "gap", pain=0, client="C-201"),
            trial("y", 3, "gap", pain=0, visit="2026-02-20-1"),
        ],
    )
    assert [found.trial for found in visit.comparisons] == ["b"]
    assert [(c.doubt, c.about) for c in visit.caveats] == [
        (Doubt.OTHER_CLIENT, ("x",)),
        (Doubt.OTHER_VISIT, ("y",)),
    ]


def test_an_empty_visit_is_said_and_is_no_error(
    entry: Make, comparer: Comparer, occasion: Occasion
) -> None:
    assert [c.doubt for c in comparer.visit(occasion, []).caveats] == [Doubt.EMPTY_VISIT]
    only_note = comparer.visit(occasion, [entry("n", 0, Note(text="came by bicycle"))])
    assert [c.doubt for c in only_note.caveats] == [Doubt.EMPTY_VISIT]
    assert only_note.comparisons == ()


def test_unconfirmed_dropped_and_withdrawn_records_do_not_count(
    trial: Make, comparer: Comparer, occasion: Occasion
) -> None:
    first = trial("a", 0, "baseline", pain=6)
    tried = trial("b", 1, "gap", pain=3)
    proposal = {"version": 3, "status": "unconfirmed", "affirmed": None}
    changed = cast(Trial, tried.content).model_copy(update={"pain": 5})
    proposed = tried.model_copy(update={**proposal, "content": changed})
    waiting = trial("c", 2, "gap", pain=1).model_copy(update=proposal)
    withdrawn = trial("d", 3, "gap", pain=1).withdraw(tried.at, "said for another client")
    visit = comparer.visit(occasion, [proposed, first, waiting, withdrawn, tried])
    assert [(c.trial, c.pain and c.pain.after) for c in visit.comparisons] == [("b", 3)]
    assert {(c.doubt, c.about[0]) for c in visit.caveats} == {
        (Doubt.CORRECTION_WAITS, "b"),
        (Doubt.NOT_CONFIRMED, "c"),
    }


@pytest.mark.parametrize(
    ("slots", "doubt"),
    [
        ({"pain": 14}, Doubt.IMPOSSIBLE_PAIN),
        ({"pain": -1}, Doubt.IMPOSSIBLE_PAIN),
        ({"range_deg": 420}, Doubt.IMPOSSIBLE_RANGE),
        ({"motion": None}, Doubt.NO_MOVEMENT),
        ({"phase": None}, Doubt.NO_PHASE),
    ],
)
def test_a_record_that_cannot_be_is_left_out_and_said(
    trial: Make,
    comparer: Comparer,
    occasion: Occasion,
    slots: dict[str, object],
    doubt: Doubt,
) -> None:
    good = trial("b", 1, "gap", pain=3)
    # Records read without checks, as from a damaged file.
    bad = good.model_copy(
        update={"entry_id": "z", "content": good.content.model_copy(update=slots)}
    )
    visit = comparer.visit(occasion, [trial("a", 0, "baseline", pain=6), good, bad])
    assert [found.trial for found in visit.comparisons] == ["b"]
    assert [(c.doubt, c.about) for c in visit.caveats] == [(doubt, ("z",))]


def test_a_clock_that_ran_backwards_is_said_and_the_record_still_counts(
    trial: Make, comparer: Comparer, occasion: Occasion
) -> None:
    early, late = trial("a", 0, "baseline", pain=6), trial("b", 5, "gap", pain=3)
    visit = comparer.visit(occasion, [early, late.model_copy(update={"at": early.at})])
    assert [c.trial for c in visit.comparisons] == ["b"]
    assert [(c.doubt, c.about) for c in visit.caveats] == [(Doubt.CLOCK, ("b",))]


def test_only_entries_can_be_compared(comparer: Comparer, occasion: Occasion) -> None:
    with pytest.raises(TypeError, match="Entries are wanted here, not dict"):
        comparer.visit(occasion, cast(list[Entry], [{"pain": 3}]))


def test_a_visit_of_two_thousand_records_is_compared_whole(
    trial: Make, comparer: Comparer, occasion: Occasion
) -> None:
    phases = ("baseline", "gap", "compression", "retest")
    entries = [trial(f"e{n:04}", n, phases[n % 4], pain=n % 11) for n in range(2000)]
    visit = comparer.visit(occasion, entries)
    assert len(visit.comparisons) == 1500
    assert all(found.baseline is not None for found in visit.comparisons)
    assert visit.comparisons[-1].baseline == "e1996"
