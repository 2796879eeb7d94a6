"""An entry for stores on disk, and what a store says that cannot be opened."""

from datetime import UTC, datetime
from pathlib import Path

import pytest

from voicelog.errors import StoreError
from voicelog.records.content import Note
from voicelog.records.entry import Entry
from voicelog.store.sqlite import SqliteStore

NINE = datetime(2026, 3, 2, 9, 0, tzinfo=UTC)


def spoken(store: SqliteStore, entry_id: str = "e1") -> Entry:
    visit = store.visits()[0] if store.visits() else store.open_visit("C-014", NINE)
    return Entry(
        entry_id=entry_id,
        visit_id=visit.visit_id,
        client="C-014",
        status="unconfirmed",
        content=Note(text="guarded at first"),
        spoken_at=NINE,
        at=NINE,
        by="AB",
    )


def refusal(path: Path, wait_s: float = 0.05) -> StoreError:
    with pytest.raises(StoreError) as caught:
        SqliteStore(path, wait_s)
    assert "\n" not in str(caught.value)
    assert str(path) in str(caught.value)
    assert caught.value.do
    return caught.value
