"""Pain labels, against the published thresholds worked by hand."""

from decimal import ROUND_HALF_UP, Decimal

import pytest

from voicelog.analysis.pain import (
    PainChange,
    PainLabel,
    marks_reached,
    pain_label,
    pain_rule,
)
from voicelog.analysis.tables import Tables


@pytest.mark.parametrize(
    ("before", "after", "label"),
    [
        # Both lines are needed: 2 points (Childs 2005) and 30 % (Farrar 2001). By hand:
        (6, 4, PainLabel.LOWER_BEYOND),  # 2 points, 33.3 %
        (6, 3, PainLabel.LOWER_BEYOND),  # 3 points, 50 %
        (10, 7, PainLabel.LOWER_BEYOND),  # 3 points, exactly 30 %
        (7, 5, PainLabel.LOWER_WITHIN),  # 2 points, 28.6 %
        (10, 8, PainLabel.LOWER_WITHIN),  # 2 points, 20 %
        (9, 7, PainLabel.LOWER_WITHIN),  # 2 points, 22.2 %
        (3, 2, PainLabel.LOWER_WITHIN),  # 33.3 %, but one point
        (1, 0, PainLabel.LOWER_WITHIN),  # 100 %, but one point
        (3, 1, PainLabel.LOWER_BEYOND),  # 2 points, 66.7 %
        (2, 0, PainLabel.LOWER_BEYOND),  # 2 points, 100 %
        (0, 0, PainLabel.SAME),
        (5, 5, PainLabel.SAME),
        (0, 1, PainLabel.HIGHER_WITHIN),
        (5, 6, PainLabel.HIGHER_WITHIN),
        (0, 2, PainLabel.HIGHER_BEYOND),
        (8, 10, PainLabel.HIGHER_BEYOND),
    ],
)
def test_a_change_of_pain_gets_the_label_of_the_published_thresholds(
    tables: Tables, before: int, after: int, label: PainLabel
) -> None:
    assert pain_label(before, after, pain_rule(tables.rules)) is label


def test_every_pair_of_scores_has_a_label_and_a_rise_never_reads_as_lower(tables: Tables) -> None:
    rule = pain_rule(tables.rules)
    for before in range(11):
        for after in range(11):
            words = str(pain_label(before, after, rule))
            assert words.startswith(
                "lower" if after < before else "higher" if after > before else "no change"
            )


def test_a_start_of_zero_has_no_percentage(tables: Tables) -> None:
    rule = pain_rule(tables.rules)
    assert PainChange(0, 2, PainLabel.HIGHER_BEYOND, rule).percent is None
    assert PainChange(8, 6, PainLabel.LOWER_WITHIN, rule).percent == -25.0


def test_a_half_percent_is_rounded_away_from_zero_as_by_hand(tables: Tables) -> None:
    """Against halves worked out in decimals (Python's decimal, ROUND_HALF_UP)."""
    rule = pain_rule(tables.rules)
    for before in range(1, 11):
        for after in range(11):
            exact = Decimal(100 * (after - before)) / before
            by_hand = int(exact.quantize(Decimal(1), ROUND_HALF_UP))
            assert PainChange(before, after, PainLabel.SAME, rule).whole_percent == by_hand
    assert PainChange(8, 3, PainLabel.LOWER_BEYOND, rule).whole_percent == -63  # 62.5


def reached(tables: Tables, source: str, before: int, after: int) -> dict[str, bool | None]:
    return {
        f"{mark.figure.statistic} {mark.figure.unit}": mark.reached
        for mark in marks_reached(before, after, tables.pain)
        if mark.figure.source_key == source
    }


# Farrar et al. 2001, Pain 94:149-158: about 2 points or about 30 % mark an important reduction.
@pytest.mark.parametrize(
    ("before", "after", "points", "percent"),
    [
        (10, 8, True, False),  # 2 points, 20 %
        (9, 6, True, True),  # 3 points, 33.3 %
        (6, 4, True, True),  # 2 points, 33.3 %
        (3, 2, False, True),  # 1 point, 33.3 %
        (4, 3, False, False),  # 1 point, 25 %
        (5, 6, False, False),
        (0, 0, False, None),
    ],
)
def test_the_marks_of_farrar_2001_are_kept_apart_for_points_and_percent(
    tables: Tables, before: int, after: int, points: bool, percent: bool | None
) -> None:
    marks = reached(tables, "FARRAR2001", before, after)
    assert marks == {
        "clinically important reduction points": points,
        "clinically important reduction percent": percent,
    }


# Salaffi et al. 2004, Eur J Pain 8:283-291: 1 point or 15 % "slightly better"; 2.0 or 33 % "much".
@pytest.mark.parametrize(
    ("before", "after", "slight", "slight_percent", "much", "much_percent"),
    [
        (7, 6, True, False, False, False),  # 1 point, 14.3 %
        (6, 5, True, True, False, False),  # 1 point, 16.7 %
        (6, 4, True, True, True, True),  # 2 points, 33.3 %
        (7, 5, True, True, True, False),  # 2 points, 28.6 %
        (3, 2, True, True, False, True),  # 1 point, 33.3 %
        (8, 8, False, False, False, False),
    ],
)
def test_the_marks_of_salaffi_2004_hold_for_slightly_and_much_better(
    tables: Tables,
    before: int,
    after: int,
    slight: bool,
    slight_percent: bool,
    much: bool,
    much_percent: bool,
) -> None:
    assert reached(tables, "SALAFFI2004", before, after) == {
        "smallest important reduction points": slight,
        "smallest important reduction percent": slight_percent,
        "much better points": much,
        "much better percent": much_percent,
    }


def test_millimetres_standard_errors_and_end_scores_are_no_marks(tables: Tables) -> None:
    sources = {mark.figure.source_key for mark in marks_reached(8, 2, tables.pain)}
    assert "KANTO2021" not in sources
    assert "KAMPER2010" not in sources
    assert not any(m.figure.statistic.startswith("SEM") for m in marks_reached(8, 2, tables.pain))
