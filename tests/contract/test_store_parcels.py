"""What every store promises about taking in what another store kept, tried on each of them."""

from collections.abc import Iterator
from datetime import UTC, datetime, timedelta

import pytest

from voicelog.errors import StaleVersion, StoreError
from voicelog.records.content import Note
from voicelog.records.entry import Affirmation, Entry
from voicelog.records.screen import ScreenAnswer
from voicelog.store.base import Clip, Parcel, Store, Taken
from voicelog.store.memory import MemoryStore

NINE = datetime(2026, 3, 2, 9, 0, tzinfo=UTC)
ANSWER = ScreenAnswer(client="C-014", item="A1", answer="no", asked_by="AB", asked_at=NINE)
CLIP = Clip(b"fLaC one", "words", 0.5)
NOTHING = Taken(0, 0, 0)


@pytest.fixture
def other() -> Store:
    """A store elsewhere with one visit: an affirmed note with sound, and one that waits."""
    made = MemoryStore()
    visit = made.open_visit("C-014", NINE)
    first = entry(visit.visit_id, "a")
    made.append(first, (CLIP,))
    made.append(first.confirm(Affirmation(read_back="", by="key"), NINE))
    made.append(entry(visit.visit_id, "b"), (CLIP,))
    return made


def entry(visit_id: str, name: str) -> Entry:
    return Entry(
        entry_id=name, visit_id=visit_id, client="C-014", status="unconfirmed",
        content=Note(text=name), spoken_at=NINE, at=NINE, by="AB",
    )  # fmt: skip


def all_of(other: Store) -> list[Parcel]:
    return [other.parcel(visit.visit_id) for visit in other.visits()]


def test_everything_comes_over_as_it_was(store: Store, other: Store) -> None:
    assert store.take_in(all_of(other), [ANSWER]) == Taken(1, 3, 1)
    assert all_of(store) == all_of(other)
    assert store.facts("C-014", ScreenAnswer) == (ANSWER,)
    assert store.clips("a") == (CLIP,)
    assert store.clients() == ("C-014",)


def test_what_is_there_already_is_passed_over(store: Store, other: Store) -> None:
    store.take_in(all_of(other), [ANSWER])
    assert store.take_in(all_of(other), [ANSWER]) == NOTHING
    assert all_of(store) == all_of(other)


def test_newer_versions_are_added_and_older_archives_change_nothing(
    store: Store, other: Store
) -> None:
    older = all_of(other)
    store.take_in(older, [])
    (waiting,) = other.unconfirmed(older[0].visit.visit_id)
    other.append(waiting.drop(NINE, "disregard"))
    other.end_visit(older[0].visit.visit_id, NINE + timedelta(hours=1))
    assert store.take_in(all_of(other), []) == Taken(0, 1, 0)
    assert all_of(store) == all_of(other)
    assert store.clips("b") == ()
    assert store.take_in(older, []) == NOTHING
    assert all_of(store) == all_of(other)


def test_a_version_that_differs_refuses_the_whole(store: Store, other: Store) -> None:
    store.take_in(all_of(other), [])
    visit_id = store.visits()[0].visit_id
    (there,) = store.unconfirmed(visit_id)
    store.append(there.drop(NINE, "here"))
    (elsewhere,) = other.unconfirmed(visit_id)
    other.append(elsewhere.confirm(Affirmation(read_back="", by="key"), NINE))
    before = all_of(store)
    other.open_visit("C-7", NINE)
    with pytest.raises(StaleVersion):
        store.take_in(reversed(all_of(other)), [ANSWER])
    assert all_of(store) == before
    assert store.clients() == ("C-014",)


def test_another_visit_of_that_number_refuses_the_whole(store: Store, other: Store) -> None:
    store.open_visit("C-7", NINE)
    before = all_of(store)
    with pytest.raises(StoreError, match="Another visit 2026-03-02-1 is here already") as caught:
        store.take_in(all_of(other), [ANSWER])
    assert "Nothing was written" in caught.value.kept
    assert all_of(store) == before
    assert store.facts("C-014", ScreenAnswer) == ()


def test_two_different_ends_of_a_visit_refuse_the_whole(store: Store, other: Store) -> None:
    store.take_in(all_of(other), [])
    visit_id = store.visits()[0].visit_id
    store.end_visit(visit_id, NINE + timedelta(hours=1))
    other.end_visit(visit_id, NINE + timedelta(hours=2))
    with pytest.raises(StoreError, match="Another visit"):
        store.take_in(all_of(other), [])


def test_what_breaks_off_leaves_nothing(store: Store, other: Store) -> None:
    def broken() -> Iterator[Parcel]:
        yield from all_of(other)
        raise EOFError

    with pytest.raises(EOFError):
        store.take_in(broken(), [ANSWER])
    assert store.visits() == ()
    assert store.clients() == ()


def test_the_locks_hold_for_what_is_taken_in_too(store: Store, other: Store) -> None:
    (parcel,) = all_of(other)
    forged = parcel.versions[1].model_copy(update={"content": Note(text="never affirmed")})
    versions = (parcel.versions[0], forged)
    with pytest.raises(StoreError, match="the very values that were read back"):
        store.take_in([Parcel(parcel.visit, versions)], [])
    assert store.visits() == ()


def test_an_unknown_visit_has_no_parcel(store: Store) -> None:
    with pytest.raises(StoreError, match="There is no visit"):
        store.parcel("2026-03-02-1")
