"""A store that is damaged, or was never one: named, and left as it is."""

import gc
import sqlite3
import sys
from contextlib import closing
from pathlib import Path

import pytest

from tests.integration.sqlite_samples import NINE, refusal
from voicelog.errors import StoreError
from voicelog.records.entry import Affirmation
from voicelog.store import examine
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
    overwrite(path, "entry_version")
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


def test_a_search_that_meets_damage_ends_with_one_error(
    path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    with closing(SqliteStore(path)) as store:
        (first,) = store.history("e1")
        store.append(first.confirm(Affirmation(read_back="", by="key"), NINE))
    with closing(sqlite3.connect(path)) as db, db:
        db.execute("DROP TRIGGER entry_version_never_changes")
        db.execute("""UPDATE entry_version SET body = '{"pain": 11}'""")
    left_over = list[object]()
    monkeypatch.setattr(sys, "unraisablehook", left_over.append)
    with pytest.raises(StoreError, match="damaged"), closing(SqliteStore(path)) as store:
        store.find("guarded")
    gc.collect()
    assert left_over == []


def test_a_glance_sees_a_page_overwritten_by_something_else(path: Path) -> None:
    overwrite(path, "clip")
    with closing(SqliteStore(path)) as store:
        with pytest.raises(StoreError, match="damaged") as caught:
            store.glance()
        assert caught.value.kept == "Nothing was changed"


def test_a_glance_ends_before_a_large_file_does(
    path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    with closing(sqlite3.connect(path)) as db, db:
        rows = ((str(number), "C-014", "", "{}") for number in range(5000))
        db.executemany("INSERT INTO visit VALUES (?, ?, ?, ?)", rows)
        db.execute("PRAGMA ignore_check_constraints = ON")
        db.execute(
            "INSERT INTO entry_version SELECT entry_id, 0, visit_id, status, at, at, body"
            " FROM entry_version"
        )
    with closing(SqliteStore(path)) as store:
        with pytest.raises(StoreError, match="CHECK constraint failed"):
            store.glance()
        monkeypatch.setattr(examine, "GLANCE_S", -1)
        store.glance()
        with pytest.raises(StoreError, match="CHECK constraint failed"):
            store.check()


def overwrite(path: Path, table: str) -> None:
    """Overwrite the first page of a table."""
    with closing(sqlite3.connect(path)) as db:
        (page,) = db.execute(
            "SELECT rootpage FROM sqlite_schema WHERE name = ?", (table,)
        ).fetchone()
    with path.open("r+b") as file:
        file.seek((page - 1) * 4096)
        file.write(b"\xa5" * 4096)
