"""What every store promises, tried on each of them alike."""

from datetime import UTC, date, datetime, timedelta, timezone
from zoneinfo import ZoneInfo

import pytest

from tests.contract.store_samples import FIVE, LATER, NINE, SOUND, YES, changed, spoken
from voicelog.errors import StaleVersion, StoreError
from voicelog.records.content import Note
from voicelog.records.visit import Visit
from voicelog.store.base import Clip, Store

SOUND_2 = Clip(b"fLaC second", "correction pain five", 1.25)


def test_a_visit_is_named_by_its_day_and_a_running_number(store: Store) -> None:
    # The day is a calendar date as ISO 8601 writes it (YYYY-MM-DD), where the visit takes place.
    first = store.open_visit("C-014", NINE)
    assert first.visit_id == "2026-03-02-1"
    assert date.fromisoformat(first.visit_id.rsplit("-", 1)[0]) == NINE.date()
    for number in range(2, 12):
        assert store.open_visit("C-015", NINE).visit_id == f"2026-03-02-{number}"
    just_past_midnight = datetime(2026, 3, 3, 0, 10, tzinfo=timezone(timedelta(hours=1)))
    assert store.open_visit("C-014", just_past_midnight).visit_id == "2026-03-03-1"


def test_visits_come_oldest_first_of_one_client_or_of_all(store: Store) -> None:
    late = store.open_visit("C-014", LATER)
    early = store.open_visit("C-015", NINE)
    assert store.visits() == (early, late)
    assert store.visits("C-014") == (late,)
    assert store.visits("C-999") == ()
    assert store.visit(late.visit_id) == late


def test_a_visit_ends_once(store: Store, visit: Visit) -> None:
    ended = store.end_visit(visit.visit_id, LATER)
    assert ended.ended_at == LATER
    assert store.end_visit(visit.visit_id, LATER + timedelta(hours=1)) == ended
    assert store.visit(visit.visit_id) == ended


@pytest.mark.parametrize("client", ["", "../C-014", "C 014", "<b>", "C-014/x", "x" * 33])
def test_what_is_no_client_code_opens_no_visit(store: Store, client: str) -> None:
    with pytest.raises(StoreError, match="no client code"):
        store.open_visit(client, NINE)
    assert store.visits() == ()


def test_an_unknown_visit_is_an_error_that_says_what_to_do(store: Store) -> None:
    unknown = Visit(visit_id="2026-03-02-9", client="C-014", started_at=NINE)
    for call in (
        lambda: store.visit(unknown.visit_id),
        lambda: store.end_visit(unknown.visit_id, LATER),
        lambda: store.append(spoken(unknown)),
    ):
        with pytest.raises(StoreError, match="no visit 2026-03-02-9") as caught:
            call()
        assert caught.value.kept
        assert caught.value.do
    assert store.records(unknown.visit_id) == ()
    assert store.unconfirmed(unknown.visit_id) == ()
    assert store.history("e1") == ()
    assert store.clips("e1") == ()


def test_an_entry_of_another_client_is_refused(store: Store, visit: Visit) -> None:
    stray = spoken(visit).model_copy(update={"client": "C-015"})
    with pytest.raises(StoreError, match="another client"):
        store.append(stray)
    assert store.history("e1") == ()


def test_a_dictation_waits_until_affirmed_and_then_stands(store: Store, visit: Visit) -> None:
    first = spoken(visit)
    store.append(first, [SOUND])
    assert store.unconfirmed(visit.visit_id) == (first,)
    assert store.records(visit.visit_id) == ()
    confirmed = first.confirm(YES, LATER)
    store.append(confirmed)
    assert store.unconfirmed(visit.visit_id) == ()
    assert store.records(visit.visit_id) == (confirmed,)
    assert store.history("e1") == (first, confirmed)
    assert store.clips("e1") == (SOUND,)


def test_an_amendment_waits_beside_the_record_it_would_change(store: Store, visit: Visit) -> None:
    first = spoken(visit)
    confirmed = first.confirm(YES, LATER)
    amended = changed(confirmed)
    for version in (first, confirmed, amended):
        store.append(version)
    assert store.records(visit.visit_id) == (confirmed,)
    assert store.unconfirmed(visit.visit_id) == (amended,)
    store.append(amended.confirm(YES, LATER))
    assert [e.content for e in store.records(visit.visit_id)] == [FIVE]
    assert store.unconfirmed(visit.visit_id) == ()


def test_entries_come_in_the_order_spoken_whatever_their_zone(store: Store, visit: Visit) -> None:
    noon_utc = spoken(visit, "b").model_copy(
        update={"spoken_at": datetime(2026, 3, 2, 12, 0, tzinfo=UTC)}
    )
    earlier_but_later_on_the_wall = spoken(visit, "c").model_copy(
        update={"spoken_at": datetime(2026, 3, 2, 13, 30, tzinfo=timezone(timedelta(hours=2)))}
    )
    for entry in (noon_utc, earlier_but_later_on_the_wall):
        store.append(entry)
        store.append(entry.confirm(YES, LATER))
    assert [e.entry_id for e in store.records(visit.visit_id)] == ["c", "b"]


def test_times_in_the_hour_the_clocks_repeat_still_follow_each_other(
    store: Store, visit: Visit
) -> None:
    # PEP 495: a time in a repeated hour never equals one of another zone, not even itself.
    repeated = datetime(2026, 10, 25, 2, 30, tzinfo=ZoneInfo("Europe/Amsterdam"), fold=1)
    first = spoken(visit).model_copy(update={"spoken_at": repeated, "at": repeated})
    store.append(first)
    store.append(first)
    store.append(first.confirm(YES, repeated))
    (kept,) = store.records(visit.visit_id)
    assert kept.spoken_at.isoformat() == "2026-10-25T02:30:00+01:00"


def test_repeating_a_call_of_uncertain_outcome_does_nothing(store: Store, visit: Visit) -> None:
    first = spoken(visit)
    confirmed = first.confirm(YES, LATER)
    for version in (first, first, confirmed, confirmed, first):
        store.append(version, [SOUND] if version is first else [])
    assert store.history("e1") == (first, confirmed)
    assert store.clips("e1") == (SOUND,)


def test_a_second_hand_is_told_and_overwrites_nothing(store: Store, visit: Visit) -> None:
    first = spoken(visit)
    store.append(first, [SOUND])
    one = changed(first)
    other = changed(first, Note(text="something else"))
    store.append(one)
    with pytest.raises(StaleVersion):
        store.append(other, [SOUND_2])
    assert store.history("e1") == (first, one)
    assert store.clips("e1") == (SOUND,)


def test_other_values_than_those_read_back_are_never_confirmed(store: Store, visit: Visit) -> None:
    first = spoken(visit)
    store.append(first)
    with pytest.raises(StoreError):
        store.append(first.confirm(YES, LATER).model_copy(update={"content": FIVE}))
    assert store.records(visit.visit_id) == ()
    assert store.unconfirmed(visit.visit_id) == (first,)


def test_a_disregarded_dictation_takes_all_its_sound_away(store: Store, visit: Visit) -> None:
    first = spoken(visit)
    corrected = changed(first)
    store.append(first, [SOUND])
    store.append(corrected, [SOUND_2])
    assert store.clips("e1") == (SOUND, SOUND_2)
    store.append(corrected.drop(LATER, "disregard"), [SOUND])
    assert store.clips("e1") == ()
    assert store.unconfirmed(visit.visit_id) == ()
    assert len(store.history("e1")) == 3


def test_a_disregarded_amendment_leaves_the_sound_of_the_record(store: Store, visit: Visit) -> None:
    first = spoken(visit)
    confirmed = first.confirm(YES, LATER)
    amended = changed(confirmed)
    store.append(first, [SOUND])
    store.append(confirmed)
    store.append(amended, [SOUND_2])
    store.append(amended.drop(LATER, "disregard"))
    assert store.clips("e1") == (SOUND,)
    assert store.records(visit.visit_id) == (confirmed,)


def test_a_disregarded_amendment_leaves_the_sound_of_the_one_before(
    store: Store, visit: Visit
) -> None:
    first = spoken(visit)
    confirmed = first.confirm(YES, LATER)
    amended = changed(confirmed)
    affirmed = amended.confirm(YES, LATER)
    store.append(first, [SOUND])
    store.append(confirmed)
    store.append(amended, [SOUND_2])
    store.append(affirmed)
    again = changed(affirmed, first.content)
    store.append(again, [SOUND])
    store.append(again.drop(LATER, "disregard"))
    assert store.clips("e1") == (SOUND, SOUND_2)
    assert store.records(visit.visit_id) == (affirmed,)


def test_a_closed_store_says_so_and_closes_again(store: Store) -> None:
    store.close()
    store.close()
    for call in (
        lambda: store.open_visit("C-014", NINE),
        lambda: store.visits(),
        lambda: store.visit("2026-03-02-1"),
        lambda: store.history("e1"),
        lambda: store.records("2026-03-02-1"),
        lambda: store.clips("e1"),
    ):
        with pytest.raises(StoreError, match="closed"):
            call()
