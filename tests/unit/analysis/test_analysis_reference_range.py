"""Published ranges for a person, side beside side, and what is plausible."""

from collections.abc import Callable

import pytest

from voicelog.analysis.caveats import Doubt
from voicelog.analysis.comparison import Comparer
from voicelog.analysis.range_error import RangeLabel
from voicelog.analysis.reference_range import Person, highest_plausible_deg, reference_ranges
from voicelog.analysis.side_difference import side_differences
from voicelog.analysis.sift import Occasion
from voicelog.analysis.tables import RangeRow, Tables
from voicelog.data_files.languages import language_folder, load_language
from voicelog.records.entry import Entry
from voicelog.telling.references import range_row_words, side_words

ENGLISH = load_language(language_folder())

Make = Callable[..., Entry]


def first(tables: Tables, joint: str, motion: str, person: Person) -> RangeRow:
    return reference_ranges(tables.ranges, joint, motion, person)[0]


# Cells seen in the published age and sex table (CDC Joint Range of Motion Study, ages 2-8, and the
# restated cells for 20-44): mean degrees.
@pytest.mark.parametrize(
    ("joint", "motion", "sex", "age", "mean", "source"),
    [
        ("hip", "extension", "F", 5, 26.2, "CDC_JOINTROM"),
        ("hip", "extension", "M", 5, 28.3, "CDC_JOINTROM"),
        ("hip", "flexion", "F", 8, 140.8, "CDC_JOINTROM"),
        ("hip", "flexion", "M", 2, 131.1, "CDC_JOINTROM"),
        ("knee", "flexion", "F", 5, 152.6, "CDC_JOINTROM"),
        ("knee", "extension", "M", 5, 1.6, "CDC_JOINTROM"),
        ("ankle", "dorsiflexion", "F", 5, 24.8, "CDC_JOINTROM"),
        ("knee", "flexion", "F", 30, 141.9, "CDC_JOINTROM_2ND"),
        ("ankle", "dorsiflexion", "M", 44, 12.7, "CDC_JOINTROM_2ND"),
        ("shoulder", "flexion", "F", 20, 172.0, "CDC_JOINTROM_2ND"),
        ("elbow", "flexion", "M", 30, 144.6, "CDC_JOINTROM_2ND"),
        ("forearm", "supination", "F", 30, 90.6, "CDC_JOINTROM_2ND"),
    ],
)
def test_the_closest_row_is_the_cell_of_the_age_and_sex_table(
    tables: Tables, joint: str, motion: str, sex: str, age: int, mean: float, source: str
) -> None:
    person = Person("F" if sex == "F" else "M", age)
    row = first(tables, joint, motion, person)
    assert (row.mean_deg, row.source_key, row.status) == (mean, source, "seen")
    assert source in range_row_words(row, ENGLISH)
    assert "seen" in range_row_words(row, ENGLISH)


def test_rows_for_another_sex_or_age_do_not_fit(tables: Tables) -> None:
    rows = reference_ranges(tables.ranges, "knee", "flexion", Person("F", 70))
    assert rows
    assert all(row.sex in ("F", "both") for row in rows)
    assert all(row.age_low is None or row.age_low <= 70 <= (row.age_high or 0) for row in rows)


def test_without_sex_and_age_every_row_is_listed_and_none_is_averaged(tables: Tables) -> None:
    rows = reference_ranges(tables.ranges, "wrist", "flexion", Person())
    published = [r for r in tables.ranges if (r.fit.joint, r.fit.motion) == ("wrist", "flexion")]
    assert sorted(rows, key=repr) == sorted(published, key=repr)


def test_a_weight_bearing_movement_has_rows_of_its_own(tables: Tables) -> None:
    lunge = reference_ranges(
        tables.ranges, "ankle", "dorsiflexion", Person("M"), manner="weight bearing"
    )
    assert [row.source_key for row in lunge] == ["CALATAYUD2015"]
    plain = reference_ranges(tables.ranges, "ankle", "dorsiflexion", Person("M"))
    assert "CALATAYUD2015" not in {row.source_key for row in plain}


def test_a_position_that_was_measured_apart_only_fits_when_it_is_said(tables: Tables) -> None:
    def sources(position: str | None) -> set[str]:
        rows = reference_ranges(
            tables.ranges, "hip", "internal rotation", Person(age_years=40), position=position
        )
        return {row.source_key for row in rows}

    assert "KOUYOUMDJIAN2012" in sources("lying face down")
    assert "KOUYOUMDJIAN2012" not in sources(None)


@pytest.mark.parametrize(
    ("joint", "motion", "manner", "high"),
    [
        # Largest of mean + 3 SD, or mean + 30 without SD, rounded up; by hand from the table.
        ("ankle", "dorsiflexion", None, 55),  # CDC_JOINTROM: 24.8 + 30
        ("ankle", "dorsiflexion", "weight bearing", 57),  # CALATAYUD2015: 40.6 + 3 x 5.2
        ("hip", "external rotation", None, 75),  # AAOS1965: 45 + 30
        ("lower back", "rotation", None, 60),  # CFR38_4_71: 30 + 30
        ("shoulder", "flexion", None, 180),  # MACEDO_MAGEE2009_NW: 188 + 30, cut at 180
        ("elbow", "extension", None, 37),  # CDC_JOINTROM: 6.8 + 30
    ],
)
def test_the_highest_plausible_angle_comes_from_the_same_table(
    tables: Tables, joint: str, motion: str, manner: str | None, high: int
) -> None:
    assert highest_plausible_deg(tables, joint, motion, manner) == high


def test_every_published_mean_that_a_record_can_hold_is_plausible(tables: Tables) -> None:
    for row in tables.ranges:
        if row.fit.motion is not None and 0 <= row.mean_deg <= 180:
            fit = row.fit
            highest = highest_plausible_deg(tables, fit.joint, row.fit.motion, fit.manner)
            assert highest is not None
            assert row.mean_deg <= highest


def test_where_nothing_was_published_none_is_implausible(tables: Tables) -> None:
    assert highest_plausible_deg(tables, "thumb", "opposition") is None


def test_left_and_right_are_compared_by_the_error_of_measuring(
    trial: Make, comparer: Comparer, occasion: Occasion
) -> None:
    tool = {"instrument": "inclinometer"}
    entries = [
        trial("l0", 0, "baseline", side="left", range_deg=10, **tool),
        trial("l", 1, "baseline", side="left", range_deg=60, **tool),
        trial("r", 2, "baseline", side="right", range_deg=50, **tool),
        trial("g", 3, "gap", side="right", range_deg=90, **tool),
        trial("n", 3, "baseline", side="right", pain=4),
        trial("e", 3, "baseline", joint="elbow", motion="flexion", range_deg=140, **tool),
    ]
    (found,) = side_differences(occasion, entries, comparer.errors)
    assert (found.left, found.right) == ("l", "r")
    assert found.range is not None
    assert (found.range.change, found.range.label) == (-10, RangeLabel.LESS_BEYOND)
    assert "60 to 50 degrees (10 less)" in side_words(found, ENGLISH)


def test_sides_taken_in_another_manner_are_not_compared(
    trial: Make, comparer: Comparer, occasion: Occasion
) -> None:
    """Passive ranges run 3 to 5 degrees above active ones (ZWERUS2019, seen)."""
    entries = [
        trial("l", 1, "baseline", side="left", range_deg=60, manner="active"),
        trial("r", 2, "baseline", side="right", range_deg=50, manner="passive"),
    ]
    (found,) = side_differences(occasion, entries, comparer.errors)
    assert found.angles == ()
    assert [caveat.doubt for caveat in found.caveats] == [Doubt.DIFFERENT_MANNER]


def test_sides_measured_with_other_instruments_are_not_compared(
    trial: Make, comparer: Comparer, occasion: Occasion
) -> None:
    entries = [
        trial("l", 1, "baseline", side="left", range_deg=60, instrument="goniometer"),
        trial("r", 2, "baseline", side="right", range_deg=50, instrument="inclinometer"),
    ]
    (found,) = side_differences(occasion, entries, comparer.errors)
    assert found.range is None
    assert [caveat.doubt for caveat in found.caveats] == [Doubt.DIFFERENT_INSTRUMENT]
