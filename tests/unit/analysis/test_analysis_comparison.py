"""Trials against their baselines, and everything that can stand in the way."""

import pytest

from tests.unit.analysis.doubts import ENGLISH, Compare, Make, doubts
from voicelog.analysis.caveats import Doubt
from voicelog.analysis.pain import PainLabel
from voicelog.analysis.range_error import RangeLabel
from voicelog.telling.comparisons import comparison_words


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
    assert doubts(found) == {Doubt.ABOVE_CEILING}  # of the baseline
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
        trial("a", 0, "baseline", pain=5, **{slot: "active"}), trial("b", 1, "gap", pain=2)
    )
    assert found.pain is not None
    assert doubts(found) == {Doubt.UNSAID_MANNER if slot == "manner" else Doubt.UNSAID_POSITION}


def test_other_instruments_leave_pain_and_take_the_range_away(
    trial: Make, compare: Compare
) -> None:
    (found,) = compare(
        trial("a", 0, "baseline", pain=5, range_deg=40, instrument="inclinometer"),
        trial("b", 1, "gap", pain=2, range_deg=60, instrument="goniometer"),
    )
    assert found.pain is not None
    assert found.range is None
    assert doubts(found) == {Doubt.DIFFERENT_INSTRUMENT}


def test_of_two_baselines_the_one_with_the_same_instrument_serves(
    trial: Make, compare: Compare
) -> None:
    (found,) = compare(
        trial("a", 0, "baseline", pain=5, range_deg=40, instrument="inclinometer"),
        trial("b", 1, "baseline", pain=5, range_deg=44, instrument="goniometer"),
        trial("c", 2, "gap", pain=3, range_deg=50, instrument="inclinometer"),
    )
    assert found.baseline == "a"
    assert found.range is not None
    assert doubts(found) == {Doubt.MORE_BASELINES}
