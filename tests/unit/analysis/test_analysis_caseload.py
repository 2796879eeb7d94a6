"""Shares over a caseload: the interval against a reference library, and what is never told."""

from collections.abc import Callable

import pytest
from hypothesis import given
from hypothesis import strategies as st
from statsmodels.stats.proportion import proportion_confint

from voicelog.analysis.caseload import ALL_JOINTS, JointShares, caseload
from voicelog.analysis.comparison import Comparer
from voicelog.analysis.direction import Eased
from voicelog.analysis.sift import Occasion
from voicelog.analysis.tables import Tables
from voicelog.analysis.wilson import share
from voicelog.records.entry import Entry

Make = Callable[..., Entry]


@given(st.integers(1, 5000).flatmap(lambda n: st.tuples(st.integers(0, n), st.just(n))))
def test_the_interval_is_that_of_statsmodels(counted: tuple[int, int]) -> None:
    # statsmodels.stats.proportion.proportion_confint, method "wilson", alpha 0.05. It uses the
    # exact normal quantile 1.959964; so does this test.
    count, total = counted
    low, high = proportion_confint(count, total, alpha=0.05, method="wilson")
    found = share(count, total, z=1.959963984540054)
    assert found.low == pytest.approx(low, abs=1e-9)
    assert found.high == pytest.approx(high, abs=1e-9)
    assert share(count, total).low == pytest.approx(low, abs=2e-5)


def test_nothing_counted_leaves_everything_open() -> None:
    found = share(0, 0)
    assert (found.share, found.low, found.high) == (None, 0.0, 1.0)


@pytest.mark.parametrize(("count", "total"), [(-1, 4), (5, 4), (1, 0)])
def test_a_count_beyond_its_total_is_refused(count: int, total: int) -> None:
    with pytest.raises(ValueError, match="is no share"):
        share(count, total)


def one_visit(
    trial: Make, client: str, visit: str, gap: int, compression: int, **slots: object
) -> list[Entry]:
    outer = {"client": client, "visit": visit, **slots}
    name = f"{client}-{visit}-{slots.get('joint', 'shoulder')}"
    at = 24 * 60 * int(visit[8:10])
    return [
        trial(f"{name}-a", at, "baseline", pain=6, **outer),
        trial(f"{name}-g", at + 1, "gap", pain=gap, **outer),
        trial(f"{name}-c", at + 2, "compression", pain=compression, **outer),
    ]


@pytest.fixture
def shares(trial: Make, comparer: Comparer, tables: Tables) -> tuple[JointShares, ...]:
    knee = {"joint": "knee", "motion": "flexion"}
    entries = [
        *one_visit(trial, "C-001", "2026-01-05-1", 3, 6),
        *one_visit(trial, "C-001", "2026-01-12-1", 6, 3),  # the later visit counts: compression
        *one_visit(trial, "C-002", "2026-01-05-2", 3, 6),
        *one_visit(trial, "C-003", "2026-01-05-3", 3, 6),
        *one_visit(trial, "C-004", "2026-01-05-4", 2, 2),
        *one_visit(trial, "C-005", "2026-01-05-5", 6, 6),
        *one_visit(trial, "C-002", "2026-01-05-2", 3, 6, **knee),
        trial("alone", 0, "gap", pain=2, client="C-006", visit="2026-01-06-1"),
    ]
    return caseload(comparer.every_visit(entries), tables.rules)


def test_each_movement_of_a_client_counts_once_by_its_latest_visit(
    shares: tuple[JointShares, ...],
) -> None:
    everything, knee, shoulder = shares
    assert [s.joint for s in shares] == [ALL_JOINTS, "knee", "shoulder"]
    counts = {eased: found.count for eased, found in shoulder.eased.items()}
    assert counts == {Eased.GAP: 2, Eased.COMPRESSION: 1, Eased.BOTH: 1, Eased.NEITHER: 1}
    assert all(found.total == 5 for found in shoulder.eased.values())
    assert (shoulder.clients, shoulder.movements, shoulder.not_enough) == (6, 6, 1)
    assert (shoulder.gap_of_one_way.count, shoulder.gap_of_one_way.total) == (2, 3)
    assert knee.eased[Eased.GAP].count == 1
    assert (everything.clients, everything.movements) == (6, 7)


def test_a_later_visit_without_enough_to_say_does_not_take_an_answer_away(
    trial: Make, comparer: Comparer, tables: Tables
) -> None:
    entries = [
        *one_visit(trial, "C-001", "2026-01-05-1", 3, 6),
        trial("later", 24 * 60 * 12, "gap", pain=2, client="C-001", visit="2026-01-12-1"),
    ]
    everything, _ = caseload(comparer.every_visit(entries), tables.rules)
    assert everything.eased[Eased.GAP].count == 1
    assert everything.not_enough == 0


def test_who_has_recovered_does_not_come_to_count_as_eased_by_neither(
    trial: Make, comparer: Comparer, tables: Tables
) -> None:
    later = {"client": "C-001", "visit": "2026-01-12-1"}
    entries = [
        *one_visit(trial, "C-001", "2026-01-05-1", 3, 6),
        trial("a", 24 * 60 * 12, "baseline", pain=0, **later),
        trial("g", 24 * 60 * 12 + 1, "gap", pain=0, **later),
        trial("c", 24 * 60 * 12 + 2, "compression", pain=0, **later),
    ]
    everything, _ = caseload(comparer.every_visit(entries), tables.rules)
    assert everything.eased[Eased.GAP].count == 1
    assert everything.eased[Eased.NEITHER].count == 0


def test_the_rule_of_thumb_stands_beside_the_shares_as_common_practice(
    shares: tuple[JointShares, ...],
) -> None:
    rule = shares[0].rule_of_thumb
    assert (rule.value, rule.status) == (0.75, "common practice, no source")
    assert rule.note == (
        "about three in four ease with gapping, about one in four with compression"
    )


def test_no_client_code_is_ever_in_the_result(shares: tuple[JointShares, ...]) -> None:
    assert "C-0" not in repr(shares)


def test_no_visits_and_empty_visits_give_no_shares(
    tables: Tables, comparer: Comparer, occasion: Occasion
) -> None:
    assert caseload((), tables.rules) == ()
    assert caseload([comparer.visit(occasion, [])], tables.rules) == ()


def test_a_share_of_nothing_is_no_share(trial: Make, comparer: Comparer, tables: Tables) -> None:
    alone = trial("a", 0, "gap", pain=2)
    everything, _ = caseload(comparer.every_visit([alone]), tables.rules)
    assert everything.eased[Eased.GAP].share is None
