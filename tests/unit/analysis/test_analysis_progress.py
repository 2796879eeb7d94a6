"""A client across visits: what changed, and what it was given to do."""

from collections.abc import Callable

import pytest

from tests.unit.analysis.doubts import ENGLISH
from voicelog.analysis.caveats import Doubt
from voicelog.analysis.comparison import Comparer
from voicelog.analysis.direction import Eased
from voicelog.analysis.pain import PainLabel
from voicelog.analysis.progress import progress
from voicelog.analysis.range_error import RangeLabel
from voicelog.records.content import Drill
from voicelog.records.entry import Entry
from voicelog.telling.references import dose_words

Make = Callable[..., Entry]


DAY = 24 * 60


@pytest.fixture
def three_visits(trial: Make, entry: Make) -> list[Entry]:
    knee = {"side": "left", "joint": "knee", "motion": "extension", "instrument": "inclinometer"}
    return [
        trial("a1", 0, "baseline", pain=7, range_deg=20, visit="2026-03-02-1", **knee),
        trial("a2", 1, "gap", pain=4, range_deg=30, visit="2026-03-02-1", **knee),
        trial("a3", 2, "compression", pain=7, range_deg=20, visit="2026-03-02-1", **knee),
        trial("a4", 3, "retest", pain=3, range_deg=30, visit="2026-03-02-1", **knee),
        entry(
            "d1",
            4,
            Drill(name="heel glide", side="left", sets=3, reps=8, band="light"),
            visit="2026-03-02-1",
        ),
        trial("b1", 7 * DAY, "baseline", pain=6, range_deg=22, visit="2026-03-09-1", **knee),
        trial("b2", 7 * DAY + 9, "baseline", pain=1, range_deg=50, visit="2026-03-09-1", **knee),
        trial("c1", 14 * DAY, "baseline", pain=4, range_deg=30, visit="2026-03-16-1", **knee),
    ]


def test_progress_compares_the_first_baseline_of_each_visit(
    three_visits: list[Entry], comparer: Comparer
) -> None:
    (knee,) = progress("C-014", three_visits, comparer).movements
    assert [point.visit_id for point in knee.points] == [
        "2026-03-02-1",
        "2026-03-09-1",
        "2026-03-16-1",
    ]
    assert [point.start and point.start.id for point in knee.points] == ["a1", "b1", "c1"]
    assert knee.points[0].end is not None
    assert knee.points[0].end.id == "a4"
    assert knee.points[0].direction is not None
    assert knee.points[0].direction.eased is Eased.GAP
    assert knee.since_first is not None
    assert knee.since_last is not None
    assert (knee.since_first.before, knee.since_first.after) == ("a1", "c1")
    assert (knee.since_last.before, knee.since_last.after) == ("b1", "c1")


def test_progress_gives_each_change_its_label_and_the_error_of_other_days(
    three_visits: list[Entry], comparer: Comparer
) -> None:
    (knee,) = progress("C-014", three_visits, comparer).movements
    first, last = knee.since_first, knee.since_last
    assert first is not None
    assert last is not None
    assert first.pain is not None
    assert last.pain is not None
    assert first.range is not None
    assert first.range.error is not None
    assert first.pain.label is PainLabel.LOWER_BEYOND  # 7 to 4: 3 points, 42.9 %
    assert last.pain.label is PainLabel.LOWER_BEYOND  # 6 to 4: 2 points, 33.3 %
    # ACLEXT2024, same tester on another day: 2.6-5.4 degrees, upper end.
    assert first.range.error.degrees == 5.4
    assert first.range.label is RangeLabel.MORE_BEYOND


def test_drills_keep_their_dose(three_visits: list[Entry], comparer: Comparer) -> None:
    (drill,) = progress("C-014", three_visits, comparer).drills
    assert (drill.entry_id, drill.total_reps, drill.drill.band) == ("d1", 24, "light")
    assert dose_words(drill, ENGLISH) == "2026-03-02 heel glide, left: 3 sets of 8, light band."


def test_a_drill_is_told_with_its_side_and_all_of_its_dose(entry: Make, comparer: Comparer) -> None:
    given = Drill(
        name="heel glide",
        side="left",
        sets=1,
        reps=8,
        hold_s=5,
        tempo="3-1-1-0",
        effort=4,
        plane="frontal",
        direction="gap",
    )
    (drill,) = progress("C-014", [entry("d", 0, given)], comparer).drills
    assert dose_words(drill, ENGLISH) == (
        "2026-03-02 heel glide, left: 1 set of 8, hold 5 s, tempo 3-1-1-0, effort 4/10, "
        "frontal plane, with gap."
    )


def test_a_drill_without_a_dose_says_so(entry: Make, comparer: Comparer) -> None:
    (drill,) = progress("C-014", [entry("d", 0, Drill(name="wall slide"))], comparer).drills
    assert drill.total_reps is None
    assert dose_words(drill, ENGLISH) == "2026-03-02 wall slide: no dose said."


def test_one_visit_alone_has_no_change(trial: Make, comparer: Comparer) -> None:
    (found,) = progress("C-014", [trial("a", 0, "baseline", pain=5)], comparer).movements
    assert (found.since_first, found.since_last) == (None, None)


def test_a_visit_without_a_baseline_stays_in_the_row_and_is_skipped_in_the_change(
    trial: Make, comparer: Comparer
) -> None:
    (found,) = progress(
        "C-014",
        [
            trial("a", 0, "baseline", pain=5, visit="2026-03-02-1"),
            trial("b", DAY, "retest", pain=4, visit="2026-03-03-1"),
            trial("c", 2 * DAY, "baseline", pain=3, visit="2026-03-04-1"),
        ],
        comparer,
    ).movements
    assert [point.start and point.start.id for point in found.points] == ["a", None, "c"]
    assert found.points[1].pain_free_deg is None
    assert found.since_last is not None
    assert found.since_last.before == "a"


def test_another_manner_on_another_day_is_not_compared(trial: Make, comparer: Comparer) -> None:
    (found,) = progress(
        "C-014",
        [
            trial("a", 0, "baseline", pain=5, manner="active", visit="2026-03-02-1"),
            trial("b", DAY, "baseline", pain=1, manner="passive", visit="2026-03-03-1"),
        ],
        comparer,
    ).movements
    assert found.since_last is not None
    assert found.since_last.pain is None
    assert [caveat.doubt for caveat in found.since_last.caveats] == [Doubt.DIFFERENT_MANNER]


def test_a_visit_ends_with_a_retest_that_came_after_its_baseline_and_compares_with_it(
    trial: Make, comparer: Comparer
) -> None:
    def end(*later: Entry) -> str | None:
        entries = [trial("r", 0, "retest", pain=3), trial("a", 1, "baseline", pain=5), *later]
        point = progress("C-014", entries, comparer).movements[0].points[0]
        return point.end and point.end.id

    assert end() is None
    assert end(trial("s", 2, "retest", pain=2), trial("t", 3, "retest", pain=1)) == "t"
    active = trial("a", 1, "baseline", pain=5, manner="active")
    passive = trial("p", 2, "retest", pain=1, manner="passive")
    (found,) = progress("C-014", [active, passive], comparer).movements
    assert found.points[0].end is None


def test_another_client_is_left_out_and_said(trial: Make, comparer: Comparer) -> None:
    stranger = trial("x", 0, "baseline", pain=5, client="C-201")
    found = progress("C-014", [stranger], comparer)
    assert found.movements == ()
    assert [(c.doubt, c.about) for c in found.caveats] == [(Doubt.OTHER_CLIENT, ("x",))]


def test_what_waits_to_be_affirmed_is_left_out_and_said(trial: Make, comparer: Comparer) -> None:
    kept = trial("a", 0, "baseline", pain=5)
    waits = trial("w", 1, "retest", pain=0).model_copy(
        update={"version": 1, "status": "unconfirmed", "affirmed": None}
    )
    found = progress("C-014", [kept, waits], comparer)
    assert found.movements[0].points[0].end is None
    assert [(c.doubt, c.about) for c in found.caveats] == [(Doubt.NOT_CONFIRMED, ("w",))]


def test_the_pain_free_range_is_where_pain_starts_or_the_range_without_pain(
    trial: Make, comparer: Comparer
) -> None:
    def free(**slots: object) -> int | None:
        entries = [trial("a", 0, "baseline", **{"range_deg": 60, **slots})]
        return progress("C-014", entries, comparer).movements[0].points[0].pain_free_deg

    assert free(range_deg=None, onset_deg=50, pain=4) == 50
    assert free(onset_deg=50, pain=4) == 50
    assert free(pain=0) == 60
    assert free(outcome="pain free rep") == 60
    assert free(pain=4) is None
