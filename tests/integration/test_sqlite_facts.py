"""Facts on file of a client, in a real file: they last, never change, and damage is found."""

import sqlite3
from contextlib import closing
from datetime import UTC, datetime
from pathlib import Path

import pytest

from voicelog.errors import StoreError
from voicelog.records.screen import ScreenAnswer
from voicelog.store.migrations import MIGRATIONS, migrate, version_of
from voicelog.store.sqlite import SqliteStore

ANSWER = ScreenAnswer(
    client="C-014",
    item="A1",
    answer="unsure",
    asked_by="AB",
    asked_at=datetime(2026, 3, 2, 9, 0, tzinfo=UTC),
)


@pytest.fixture
def path(tmp_path: Path) -> Path:
    path = tmp_path / "records.db"
    with closing(SqliteStore(path)) as store:
        store.add_facts(ANSWER)
    return path


def test_facts_outlast_the_program(path: Path) -> None:
    with closing(SqliteStore(path)) as store:
        assert store.facts("C-014", ScreenAnswer) == (ANSWER,)
        store.check()


def test_the_file_itself_refuses_to_change_a_fact(path: Path) -> None:
    with closing(sqlite3.connect(path)) as other, pytest.raises(sqlite3.IntegrityError):
        other.execute("UPDATE client_fact SET body = replace(body, 'unsure', 'no')")


def test_a_fact_that_cannot_be_read_is_found_by_the_check(path: Path) -> None:
    with closing(sqlite3.connect(path)) as other:
        other.execute("INSERT INTO client_fact (client, kind, body) VALUES ('C', 'answer', '{}')")
        other.commit()
    with closing(SqliteStore(path)) as store, pytest.raises(StoreError, match="is damaged"):
        store.check()


def test_a_file_from_before_the_facts_takes_them_in_and_keeps_its_visits(tmp_path: Path) -> None:
    path = tmp_path / "older.db"
    with closing(sqlite3.connect(path, isolation_level=None)) as db:
        migrate(db, MIGRATIONS[:1])
        db.execute(
            "INSERT INTO visit VALUES ('2026-03-02-1', 'C-014', '2026-03-02T08:00:00+00:00',"
            ' \'{"visit_id":"2026-03-02-1","client":"C-014","started_at":"2026-03-02T08:00:00Z"}\')'
        )
    with closing(SqliteStore(path)) as store:
        store.add_facts(ANSWER)
        assert [visit.client for visit in store.visits()] == ["C-014"]
        assert store.facts("C-014", ScreenAnswer) == (ANSWER,)
    with closing(sqlite3.connect(path)) as db:
        assert version_of(db) == len(MIGRATIONS)
