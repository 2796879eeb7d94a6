"""A store that is damaged, or was never one: named, and left as it is."""

import sqlite3
from contextlib import closing
from pathlib import Path

import pytest

from tests.integration.sqlite_samples import refusal
from voicelog.errors import StoreError
from voicelog.store.migrations import MIGRATIONS
from voicelog.store.sqlite import SqliteStore


def test_a_file_that_is_no_database_is_left_as_it_is(tmp_path: Path) -> None:
    path = tmp_path / "records.db"
    path.write_text("my shopping list, long enough to fill the header " * 10)
    before = path.read_bytes()
    assert "no file of records" in refusal(path).what
    assert path.read_bytes() == before


def test_a_file_of_another_program_is_left_as_it_is(tmp_path: Path) -> None:
    path = tmp_path / "other.db"
    with closing(sqlite3.connect(path)) as other:
        other.execute("CREATE TABLE song (title TEXT)")
    before = path.read_bytes()
    assert "another program" in refusal(path).what
    assert path.read_bytes() == before
    assert [file.name for file in tmp_path.iterdir()] == ["other.db"]


def test_a_file_from_a_newer_version_is_left_as_it_is(path: Path) -> None:
    with closing(sqlite3.connect(path)) as db:
        db.execute(f"PRAGMA user_version = {len(MIGRATIONS) + 1}")
    before = path.read_bytes()
    assert "newer version" in refusal(path).what
    assert path.read_bytes() == before


def test_a_version_below_the_first_is_damage(path: Path) -> None:
    with closing(sqlite3.connect(path)) as db:
        db.execute("PRAGMA user_version = -1")
    assert "is damaged" in refusal(path).what


def test_a_text_that_is_no_text_is_damage(path: Path) -> None:
    content = path.read_bytes()
    path.write_bytes(content.replace(b"CREATE TABLE visit", b"CREATE TABLE \xc6isit"))
    assert "is damaged" in refusal(path).what


def test_a_page_overwritten_by_something_else(path: Path) -> None:
    with closing(sqlite3.connect(path)) as db:
        (page,) = db.execute(
            "SELECT rootpage FROM sqlite_schema WHERE name = 'entry_version'"
        ).fetchone()
    with path.open("r+b") as file:
        file.seek((page - 1) * 4096)
        file.write(b"\xa5" * 4096)
    with closing(SqliteStore(path)) as store:
        with pytest.raises(StoreError, match="damaged") as caught:
            store.check()
        assert "backup" in caught.value.do
        with pytest.raises(StoreError, match="damaged"):
            store.history("e1")


def test_a_file_cut_short(path: Path) -> None:
    content = path.read_bytes()
    path.write_bytes(content[: len(content) // 2])
    with pytest.raises(StoreError, match="damaged"), closing(SqliteStore(path)) as store:
        store.check()


def test_a_record_that_is_no_record_any_more(path: Path) -> None:
    with closing(sqlite3.connect(path)) as db:
        db.execute("DROP TRIGGER entry_version_never_changes")
        db.execute("""UPDATE entry_version SET body = '{"pain": 11}'""")
        db.commit()
    with closing(SqliteStore(path)) as store:
        for call in (store.check, lambda: store.history("e1")):
            with pytest.raises(StoreError, match="one entry in it cannot be read"):
                call()


def test_sound_whose_entry_is_missing_is_found_by_the_check(path: Path) -> None:
    with closing(sqlite3.connect(path)) as db:
        db.execute(
            "INSERT INTO clip (entry_id, version, text, duration_s, flac)"
            " VALUES ('gone', 1, '', 1.0, x'00')"
        )
        db.commit()
    with (
        closing(SqliteStore(path)) as store,
        pytest.raises(StoreError, match="parts of it are missing"),
    ):
        store.check()


def test_a_version_that_makes_no_sense_is_damage(path: Path) -> None:
    with closing(sqlite3.connect(path)) as raw:
        raw.execute("PRAGMA user_version = -1")
    assert "damaged" in str(refusal(path))


def test_text_that_was_never_written_so_is_damage(path: Path) -> None:
    with closing(sqlite3.connect(path)) as raw, raw:
        raw.execute("UPDATE trail SET sounds = '['")
    with closing(SqliteStore(path)) as store, pytest.raises(StoreError, match="damaged"):
        store.check()
