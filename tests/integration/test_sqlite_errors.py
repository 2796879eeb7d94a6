"""Everything that can be wrong with the file of records: one clear line, nothing lost.

Kinds of failure: SQLite's list of result codes (https://sqlite.org/rescode.html), each provoked
for real rather than raised by hand.
"""

import os
import shutil
import sqlite3
import subprocess
import tempfile
from collections.abc import Iterator
from contextlib import closing
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from voicelog.errors import StoreError
from voicelog.records.content import Note
from voicelog.records.entry import Entry
from voicelog.store.base import Clip
from voicelog.store.migrations import MIGRATIONS
from voicelog.store.sqlite import SqliteStore

NINE = datetime(2026, 3, 2, 9, 0, tzinfo=UTC)
LATER = NINE + timedelta(seconds=5)
LARGE = Clip(b"\xa5" * 200_000, "a long note", 20.0)

posix_only = pytest.mark.skipif(os.name != "posix", reason="file modes are a matter of POSIX")


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


@pytest.fixture
def path(tmp_path: Path) -> Path:
    """A file with one entry in it."""
    path = tmp_path / "records.db"
    with closing(SqliteStore(path)) as store:
        store.append(spoken(store))
    return path


def refusal(path: Path, wait_s: float = 0.05) -> StoreError:
    with pytest.raises(StoreError) as caught:
        SqliteStore(path, wait_s)
    assert "\n" not in str(caught.value)
    assert str(path) in str(caught.value)
    assert caught.value.do
    return caught.value


def test_a_store_locked_by_another_program(path: Path) -> None:
    with closing(sqlite3.connect(path, isolation_level=None)) as other:
        other.execute("BEGIN IMMEDIATE")
        assert "in use by another program" in refusal(path).what
        other.execute("ROLLBACK")
    SqliteStore(path).close()


def test_a_lock_that_comes_while_the_store_is_open(path: Path) -> None:
    with (
        closing(SqliteStore(path, wait_s=0.05)) as store,
        closing(sqlite3.connect(path, isolation_level=None)) as other,
    ):
        second = spoken(store, "e2")
        other.execute("BEGIN IMMEDIATE")
        with pytest.raises(StoreError, match="in use by another program") as caught:
            store.append(second)
        assert "Nothing of this change was written" in caught.value.kept
        assert len(store.history("e1")) == 1
        other.execute("ROLLBACK")
        store.append(second)
        assert store.history("e2") == (second,)


@pytest.fixture
def unprivileged() -> Iterator[Path]:
    """A folder of an ordinary user, and that user's rights: root may write everywhere."""
    folder = Path(tempfile.mkdtemp())
    root = os.geteuid() == 0
    if root:
        os.chown(folder, 65534, 65534)
        os.seteuid(65534)
    yield folder
    if root:
        os.seteuid(0)
    folder.chmod(0o700)
    shutil.rmtree(folder)


@posix_only
def test_a_file_that_is_read_only(unprivileged: Path) -> None:
    path = unprivileged / "records.db"
    with closing(SqliteStore(path)) as store:
        first = spoken(store)
        store.append(first)
    path.chmod(0o400)
    assert "cannot be written" in refusal(path).what
    path.chmod(0o600)
    with closing(SqliteStore(path)) as store:
        assert store.history("e1") == (first,)


@posix_only
def test_a_folder_that_is_read_only(unprivileged: Path) -> None:
    path = unprivileged / "records.db"
    SqliteStore(path).close()
    unprivileged.chmod(0o500)
    assert "cannot be written" in refusal(path).what
    assert "ermission denied" in refusal(unprivileged / "other.db").what
    assert "ermission denied" in refusal(unprivileged / "folder" / "other.db").what


def test_a_path_that_is_a_folder(tmp_path: Path) -> None:
    assert "is a folder" in refusal(tmp_path).what


def test_a_path_below_a_file(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("x")
    refusal(tmp_path / "file" / "records.db")


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


def test_a_file_that_may_not_grow(path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    # PRAGMA max_page_count makes SQLite report SQLITE_FULL, its code for a full disk.
    connect = sqlite3.connect
    used: list[sqlite3.Connection] = []

    def limited(*args: object, **options: object) -> sqlite3.Connection:
        used.append(connect(*args, **options))  # type: ignore[call-overload]
        used[-1].execute("PRAGMA max_page_count = 20")
        return used[-1]

    monkeypatch.setattr(sqlite3, "connect", limited)
    with closing(SqliteStore(path)) as store:
        second = spoken(store, "e2")
        with pytest.raises(StoreError, match="the disk is full") as caught:
            store.append(second, [LARGE])
        assert "still there" in caught.value.kept
        assert store.history("e2") == ()
        assert len(store.history("e1")) == 1
        used[-1].execute("PRAGMA max_page_count = 10000")
        store.append(second, [LARGE])
        assert store.clips("e2") == (LARGE,)
        store.check()


@pytest.fixture
def small_disk(tmp_path: Path) -> Iterator[Path]:
    """A file system of its own with 1 MiB of room."""
    place = tmp_path / "disk"
    place.mkdir()
    mount = shutil.which("mount")
    command = [str(mount), "-t", "tmpfs", "-o", "size=1m", "tmpfs", str(place)]
    if not mount or subprocess.run(command, check=False, capture_output=True).returncode:
        pytest.skip("mounting a small file system needs Linux and its root")
    yield place
    subprocess.run(["umount", str(place)], check=True)


def test_a_full_disk_loses_nothing_and_the_same_call_succeeds_with_space(
    small_disk: Path,
) -> None:
    ballast = small_disk / "ballast"
    with closing(SqliteStore(small_disk / "records.db")) as store:
        kept = [spoken(store, f"kept{n}") for n in range(5)]
        for entry in kept:
            store.append(entry)
        ballast.write_bytes(bytes(750_000))
        late = spoken(store, "late")
        with pytest.raises(StoreError, match="the disk is full"):
            store.append(late, [LARGE])
        assert store.unconfirmed(late.visit_id) == tuple(kept)
        ballast.unlink()
        store.append(late, [LARGE])
        store.check()
    with closing(SqliteStore(small_disk / "records.db")) as store:
        assert store.unconfirmed(late.visit_id) == (*kept, late)


def test_a_disk_full_from_the_start(small_disk: Path) -> None:
    (small_disk / "ballast").write_bytes(bytes(1024 * 1024))
    with pytest.raises(StoreError, match=r"full|space"):
        SqliteStore(small_disk / "records.db")


def test_an_old_sqlite_is_named(path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sqlite3, "sqlite_version_info", (3, 34, 1))
    with pytest.raises(StoreError, match="too old"):
        SqliteStore(path)


def test_a_version_that_makes_no_sense_is_damage(path: Path) -> None:
    with closing(sqlite3.connect(path)) as raw:
        raw.execute("PRAGMA user_version = -1")
    assert "damaged" in str(refusal(path))


def test_text_that_was_never_written_so_is_damage(path: Path) -> None:
    with closing(sqlite3.connect(path)) as raw, raw:
        raw.execute("UPDATE trail SET sounds = '['")
    with closing(SqliteStore(path)) as store, pytest.raises(StoreError, match="damaged"):
        store.check()
