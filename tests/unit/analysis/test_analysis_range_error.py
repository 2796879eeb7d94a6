"""Errors of measuring an angle: the standard formula, and which published row is picked."""

from dataclasses import replace

import pytest

from voicelog.analysis.caveats import Doubt
from voicelog.analysis.range_error import (
    Measured,
    RangeErrors,
    RangeLabel,
    mdc95_from_sem,
    range_label,
)
from voicelog.analysis.tables import Tables


# MDC95 = 1.96 x sqrt(2) x SEM against the MDC printed in the same paper, each to its own decimals.
@pytest.mark.parametrize(
    ("source", "sem", "mdc", "half_digit"),
    [
        ("KONOR2012, lunge, inclinometer, low end", 1.3, 3.7, 0.15),
        ("KONOR2012, lunge, inclinometer, high end", 1.4, 3.8, 0.15),
        ("KONOR2012, lunge, goniometer, low end", 1.8, 5.0, 0.15),
        ("KONOR2012, lunge, goniometer, high end", 2.8, 7.7, 0.15),
        ("ALGHADIR2018, pain, 0-10", 0.48, 1.33, 0.005),
        ("ALGHADIR_AR, pain, 0-10", 0.71, 1.96, 0.015),
        ("KLOKKER2015, pain, same rater", 0.70, 1.95, 0.015),
        ("REISSNER2019, hand and wrist, low end", 4, 12, 1.5),
        ("REISSNER2019, hand and wrist, high end", 11, 30, 1.5),
    ],
)
def test_the_formula_gives_the_change_printed_beside_its_standard_error(
    source: str, sem: float, mdc: float, half_digit: float
) -> None:
    # The printed SEM is itself rounded; half its last digit times 2.77 is the leeway.
    assert mdc95_from_sem(sem) == pytest.approx(mdc, abs=half_digit), source


@pytest.fixture(scope="module")
def errors(tables: Tables) -> RangeErrors:
    return RangeErrors(tables.errors)


def measured(
    joint: str,
    motion: str,
    instrument: str | None = "goniometer",
    *,
    manner: str | None = None,
    position: str | None = None,
    same_tester: bool = True,
    same_visit: bool = True,
) -> Measured:
    return Measured(joint, motion, manner, position, instrument, same_tester, same_visit)


@pytest.mark.parametrize(
    ("case", "degrees", "source"),
    [
        # Values as printed in the row of that source.
        (measured("shoulder", "internal rotation", "inclinometer"), 4, "KOLBER2009"),
        (measured("shoulder", "external rotation", "inclinometer"), 5, "KOLBER2009"),
        (
            measured("shoulder", "internal rotation", "inclinometer", same_tester=False),
            8,
            "KOLBER2011",
        ),
        # Upper end of the span 11-16 of one tester with a goniometer, and 14-24 of two (memory).
        (measured("shoulder", "flexion"), 16, "MUIR2010"),
        (measured("shoulder", "flexion", same_tester=False), 24, "MUIR2010"),
        (measured("elbow", "flexion"), 6, "ARMSTRONG1998"),
        (measured("elbow", "flexion", same_tester=False), 10, "ARMSTRONG1998"),
        (measured("forearm", "supination"), 8, "ARMSTRONG1998"),
        # Upper end of the span 3.7-3.8.
        (
            measured("ankle", "dorsiflexion", "inclinometer", manner="weight bearing"),
            3.8,
            "KONOR2012",
        ),
        # Between testers only, the row for this very manner and position.
        (measured("knee", "flexion", manner="passive", position="sitting"), 9.4, "LENSSEN2007"),
        (
            measured("knee", "flexion", manner="passive", position="lying on the back"),
            17.6,
            "LENSSEN2007",
        ),
        # Other day before same sitting once the visits differ.
        (measured("knee", "extension", None), 3.5, "ACLEXT2024"),
        (measured("knee", "extension", None, same_visit=False), 5.4, "ACLEXT2024"),
        # Two rows for one thing: the larger.
        (measured("hip", "internal rotation", same_tester=False), 27.5, "POULSEN2012"),
        # SEM 3.5 only: 1.96 x 1.41421 x 3.5 = 9.70.
        (measured("hip", "flexion"), 9.70, "PUA2008"),
        # A whole-limb row from memory is the last resort.
        (measured("ankle", "dorsiflexion"), 4, "BOONE1978"),
    ],
)
def test_the_row_is_picked_by_the_written_rule(
    errors: RangeErrors, case: Measured, degrees: float, source: str
) -> None:
    found = errors.find(case)
    assert found is not None
    assert found.row.source_key == source
    assert found.degrees == pytest.approx(degrees, abs=0.005)


@pytest.mark.parametrize(
    "case",
    [
        measured("thumb", "opposition", "visual"),
        measured("jaw", "opening"),
        measured("lower back", "flexion", "inclinometer"),
        measured("neck", "rotation", "inclinometer", same_tester=False),
        measured("knee", "flexion", manner="resisted"),
    ],
)
def test_where_nothing_was_published_nothing_is_found(errors: RangeErrors, case: Measured) -> None:
    assert errors.find(case) is None


def test_a_source_that_was_seen_goes_before_one_from_memory(errors: RangeErrors) -> None:
    statuses = [c.row.status for c in errors.candidates(measured("hip", "flexion"))]
    assert statuses == sorted(statuses, reverse=True)
    assert statuses[0] == "seen"
    assert "memory" in statuses


def test_radiograph_rows_are_never_used_for_change(tables: Tables, errors: RangeErrors) -> None:
    assert any(row.rater == "criterion" for row in tables.errors)
    for row in tables.errors:
        if row.fit.motion is not None:
            found = errors.candidates(measured(row.fit.joint, row.fit.motion))
            assert all(each.row.rater != "criterion" for each in found)


def test_a_figure_published_for_the_left_serves_both_directions_and_says_so(
    errors: RangeErrors,
) -> None:
    found = errors.find(measured("neck", "rotation", "inclinometer"))
    assert found is not None
    assert found.row.source_key == "FLETCHER_BANDY2008"
    assert [caveat.doubt for caveat in found.caveats] == [Doubt.ERROR_NOTE]


def test_a_figure_between_testers_or_for_a_whole_limb_is_named_as_such(
    errors: RangeErrors,
) -> None:
    knee = errors.find(measured("knee", "flexion", manner="passive", position="sitting"))
    ankle = errors.find(measured("ankle", "dorsiflexion"))
    assert knee is not None
    assert ankle is not None
    assert [caveat.doubt for caveat in knee.caveats] == [Doubt.ERROR_BETWEEN_TESTERS]
    assert [caveat.doubt for caveat in ankle.caveats] == [Doubt.ERROR_BROAD]


@pytest.mark.parametrize(
    ("change", "label"),
    [
        (4, RangeLabel.MORE_BEYOND),
        (3, RangeLabel.MORE_WITHIN),
        (0, RangeLabel.SAME),
        (-3, RangeLabel.LESS_WITHIN),
        (-4, RangeLabel.LESS_BEYOND),
    ],
)
def test_a_change_as_large_as_the_error_is_beyond_it(
    errors: RangeErrors, change: int, label: RangeLabel
) -> None:
    error = errors.find(measured("shoulder", "internal rotation", "inclinometer"))  # 4 degrees
    assert range_label(change, error) is label
    assert range_label(change, None) is None


def test_a_row_without_any_figure_is_refused(tables: Tables) -> None:
    empty = replace(tables.errors[0], sem_deg=None, mdc_deg=None)
    with pytest.raises(ValueError, match="neither SEM nor MDC"):
        RangeErrors([empty]).find(measured("shoulder", "internal rotation", "inclinometer"))


def test_the_joint_itself_goes_before_the_whole_limb_whatever_the_size(tables: Tables) -> None:
    limb = next(r for r in tables.errors if r.source_key == "BOONE1978" and r.fit.joint == "elbow")
    own = replace(limb, fit=replace(limb.fit, whole=True), mdc_deg=1.0, source_key="OWN")
    found = RangeErrors([limb, own]).find(measured("elbow", "flexion"))
    assert found is not None
    assert found.row.source_key == "OWN"


def test_a_span_over_several_methods_is_named_and_never_the_threshold(
    tables: Tables, errors: RangeErrors
) -> None:
    """HAYES2001: SEM 11 to 23 by one tester over five methods, so 23 x 2.77 = 64 degrees."""
    rows = [row for row in tables.errors if row.source_key == "HAYES2001"]
    assert {row.sem_deg for row in rows} == {23, 25}
    for instrument in ("goniometer", "inclinometer", "visual", None):
        for same_tester in (True, False):
            case = measured("shoulder", "extension", instrument, same_tester=same_tester)
            assert "HAYES2001" not in {c.row.source_key for c in errors.candidates(case)}
    told = Doubt.ERROR_SPANS_METHODS
    error = errors.find(measured("shoulder", "extension"))
    assert error is not None
    assert [c.said for c in error.caveats if c.doubt is told] == [("HAYES2001",)]
    assert errors.find(measured("shoulder", "extension", "visual")) is None
    absent = errors.absent(measured("shoulder", "extension", "visual"))
    assert [c.doubt for c in absent] == [Doubt.NO_PUBLISHED_ERROR, told]
    plain = errors.absent(measured("jaw", "opening"))
    assert [c.doubt for c in plain] == [Doubt.NO_PUBLISHED_ERROR]


def test_one_tester_never_gets_more_error_from_pooled_methods_than_two_testers_have(
    errors: RangeErrors,
) -> None:
    """KOLBER2011, between two testers, 4 degrees: the figure for one tester is no larger."""
    error = errors.find(measured("shoulder", "abduction", "inclinometer"))
    assert error is not None
    assert (error.degrees, error.row.source_key) == (4, "KOLBER2011")
    assert Doubt.ERROR_BETWEEN_TESTERS in {c.doubt for c in error.caveats}
