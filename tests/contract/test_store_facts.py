"""What every store promises about the facts on file of a client, tried on each of them alike."""

from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest

from voicelog.errors import StoreError
from voicelog.records.facts import KINDS, ClientFact
from voicelog.records.scales import Activity, ChangeRating, FunctionScore
from voicelog.records.screen import Clearance, ScreenAnswer
from voicelog.store.base import Store

NINE = datetime(2026, 3, 2, 9, 0, tzinfo=UTC)
ANSWER = ScreenAnswer(client="C-014", item="A1", answer="no", asked_by="AB", asked_at=NINE)
LATER = ANSWER.model_copy(update={"answer": "yes", "asked_at": NINE + timedelta(hours=1)})
CLEARANCE = Clearance(
    client="C-014",
    items=("A1",),
    given_by="the surgeon on duty",
    given_on=date(2026, 3, 3),
    entered_by="AB",
    entered_at=NINE + timedelta(days=1),
    limits="no load overhead",
)
FUNCTION = FunctionScore(
    client="C-014",
    at=NINE,
    by="AB",
    region="knee",
    activities=tuple(Activity(name=n, score=s) for n, s in (("stairs", 3), ("run", 0), ("sit", 9))),
)
RATING = ChangeRating(
    client="C-014", visit_id="2026-03-02-1", at=NINE, by="AB", form="15 points", score=-3
)
ALL: tuple[ClientFact, ...] = (ANSWER, CLEARANCE, FUNCTION, RATING)


@pytest.mark.parametrize("fact", ALL, ids=lambda fact: KINDS[type(fact)])
def test_a_fact_comes_back_as_it_was_put_on_file(store: Store, fact: ClientFact) -> None:
    store.add_facts(*ALL)
    assert store.facts("C-014", type(fact)) == (fact,)


def test_facts_are_kept_in_the_order_they_were_added_and_none_replaces_another(
    store: Store,
) -> None:
    store.add_facts(LATER)
    store.add_facts(ANSWER)
    assert store.facts("C-014", ScreenAnswer) == (LATER, ANSWER)


def test_facts_of_another_client_stay_apart(store: Store) -> None:
    other = ANSWER.model_copy(update={"client": "C-015"})
    store.add_facts(ANSWER, other)
    assert store.facts("C-015", ScreenAnswer) == (other,)
    assert store.facts("C-016", ScreenAnswer) == ()


def test_a_fact_repeated_to_the_letter_is_on_file_once(store: Store) -> None:
    store.add_facts(ANSWER, ANSWER)
    store.add_facts(ANSWER)
    assert store.facts("C-014", ScreenAnswer) == (ANSWER,)


def test_a_time_in_the_hour_the_clocks_repeat_is_on_file_once(store: Store) -> None:
    # PEP 495: a time in a repeated hour never equals one of another zone, not even itself.
    repeated = datetime(2026, 10, 25, 2, 30, tzinfo=ZoneInfo("Europe/Amsterdam"), fold=1)
    answer = ANSWER.model_copy(update={"asked_at": repeated})
    store.add_facts(answer)
    store.add_facts(answer)
    (kept,) = store.facts("C-014", ScreenAnswer)
    assert kept.asked_at.isoformat() == "2026-10-25T02:30:00+01:00"


def test_a_closed_store_takes_and_gives_no_facts(store: Store) -> None:
    store.close()
    with pytest.raises(StoreError, match="closed"):
        store.add_facts(ANSWER)
    with pytest.raises(StoreError, match="closed"):
        store.facts("C-014", ScreenAnswer)
