"""Scores of the companion scales beside their published figures."""

from datetime import UTC, datetime
from typing import Literal

import pytest
from pydantic import ValidationError

from tests.unit.analysis.doubts import ENGLISH
from voicelog.analysis.scale_change import ScaleLabel, function_changes, rating_marks
from voicelog.analysis.tables import Tables
from voicelog.records.scales import Activity, ChangeRating, FunctionScore, Region
from voicelog.telling.references import rating_words, scale_words

AT = datetime(2026, 3, 2, 9, 0, tzinfo=UTC)


def function(*scores: int, region: Region = "any", names: str = "abc") -> FunctionScore:
    return FunctionScore(
        client="C-014",
        visit_id="2026-03-02-1",
        at=AT,
        by="MT",
        region=region,
        activities=tuple(
            Activity(name=name, score=score) for name, score in zip(names, scores, strict=True)
        ),
    )


@pytest.mark.parametrize(
    ("region", "after", "source", "label"),
    [
        # Start 2, 3, 4: average 3. By hand against the published MDC of the average.
        ("upper limb", (4, 5, 5), "PSFS_AR", ScaleLabel.HIGHER_WITHIN),  # +1.67 < 1.73
        ("upper limb", (4, 5, 6), "PSFS_AR", ScaleLabel.HIGHER_BEYOND),  # +2
        ("knee", (4, 5, 5), "CHATMAN1997", ScaleLabel.HIGHER_BEYOND),  # +1.67 >= 1.5
        ("neck", (4, 5, 6), "CLELAND2006", ScaleLabel.HIGHER_WITHIN),  # +2 < 2.1
        ("back", (4, 5, 6), "STRATFORD1995", ScaleLabel.HIGHER_BEYOND),  # +2 >= 2
        ("any", (0, 1, 2), "STRATFORD1995", ScaleLabel.LOWER_BEYOND),  # -2
        ("any", (2, 3, 3), "STRATFORD1995", ScaleLabel.LOWER_WITHIN),  # -0.33
        ("any", (4, 3, 2), "STRATFORD1995", ScaleLabel.SAME),
    ],
)
def test_the_average_of_the_activities_is_labelled_by_the_figure_of_its_region(
    tables: Tables,
    region: Region,
    after: tuple[int, int, int],
    source: str,
    label: ScaleLabel,
) -> None:
    average, *each = function_changes(
        function(2, 3, 4), function(*after, region=region), tables.scales
    )
    assert average.figure is not None
    assert (average.figure.source_key, average.label) == (source, label)
    assert source in scale_words(average, ENGLISH)
    assert [change.name for change in each] == ["a", "b", "c"]


def test_an_activity_in_other_capitals_is_the_same_one(tables: Tables) -> None:
    changes = function_changes(function(2, 3, 4), function(4, 5, 6, names="ABc"), tables.scales)
    assert [change.name for change in changes] == ["average", "A", "B", "c"]


def test_a_figure_for_any_region_names_none_and_an_activity_keeps_its_capitals(
    tables: Tables,
) -> None:
    def before_and_after(score: int) -> FunctionScore:
        names = ("reach for Anna", "sit", "run")
        activities = tuple(Activity(name=name, score=score) for name in names)
        return function(1, 2, 3).model_copy(update={"activities": activities})

    _, first, *_ = function_changes(before_and_after(2), before_and_after(6), tables.scales)
    told = scale_words(first, ENGLISH)
    assert told.startswith("Reach for Anna 2 to 6 of 10: higher, beyond error (3, STRATFORD1995, ")


def test_other_activities_have_no_common_average(tables: Tables) -> None:
    changes = function_changes(function(2, 3, 4), function(2, 6, 9, names="abz"), tables.scales)
    assert [(change.name, change.label) for change in changes] == [
        ("a", ScaleLabel.SAME),
        ("b", ScaleLabel.HIGHER_BEYOND),  # 3 points for one activity, STRATFORD1995
    ]


def test_without_a_published_error_a_score_has_no_label(tables: Tables) -> None:
    ratings_only = [figure for figure in tables.scales if figure.scale == "grc"]
    average, *_ = function_changes(function(2, 3, 4), function(4, 5, 6), ratings_only)
    assert average.label is None
    assert (
        scale_words(average, ENGLISH)
        == "Average 3 to 5 of 10. No published error is known for this."
    )


def rated(score: int, form: Literal["11 points", "15 points"], region: Region) -> ChangeRating:
    return ChangeRating(
        client="C-014", visit_id="v", at=AT, by="MT", region=region, form=form, score=score
    )


@pytest.mark.parametrize(
    ("score", "form", "region", "reached"),
    [
        (2, "11 points", "back", {"KAMPER2009": True, "BOBOS2020": False}),
        (3, "11 points", "back", {"KAMPER2009": True, "BOBOS2020": True}),
        (1, "11 points", "knee", {"KAMPER2009": False}),
        (-3, "11 points", "any", {"KAMPER2009": True}),
    ],
)
def test_a_global_rating_is_set_beside_the_published_important_change(
    tables: Tables,
    score: int,
    form: Literal["11 points", "15 points"],
    region: Region,
    reached: dict[str, bool],
) -> None:
    marks = rating_marks(rated(score, form, region), tables.scales)
    assert {
        m.figure.source_key: m.reached for m in marks if "important" in m.figure.statistic
    } == reached


@pytest.mark.parametrize(
    ("score", "band"),
    [(0, None), (1, "small"), (3, "small"), (4, "moderate"), (-5, "moderate"), (7, "large")],
)
def test_the_long_form_falls_in_its_published_band(
    tables: Tables, score: int, band: str | None
) -> None:
    # Jaeschke 1989, from memory: 1-3 small, 4-5 moderate, 6-7 large.
    marks = rating_marks(rated(score, "15 points", "any"), tables.scales)
    assert (band or "no published band") in rating_words(score, marks, ENGLISH)
    assert [m.figure.statistic for m in marks if m.reached] == ([band] if band else [])


def test_scores_beyond_their_scale_are_refused() -> None:
    with pytest.raises(ValidationError):
        function(2, 3, 11)
    with pytest.raises(ValidationError):
        function(2, 3, names="ab")
    with pytest.raises(ValidationError):
        rated(6, "11 points", "any")
