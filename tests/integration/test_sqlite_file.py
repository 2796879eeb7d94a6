"""The file of records on a real disk: who may read it, which settings hold, what is left in it."""

import os
import sqlite3
import stat
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import closing
from datetime import UTC, datetime, timedelta
from pathlib import Path
from threading import Barrier

import pytest

from voicelog.records.content import Note
from voicelog.records.entry import Affirmation, Entry
from voicelog.store.base import Clip
from voicelog.store.migrations import APPLICATION_ID, MIGRATIONS, Migration, migrate, version_of
from voicelog.store.sqlite import SqliteStore

NINE = datetime(2026, 3, 2, 9, 0, tzinfo=UTC)
LATER = NINE + timedelta(seconds=5)
YES = Affirmation(read_back="note", by="key")

posix_only = pytest.mark.skipif(os.name != "posix", reason="file modes are a matter of POSIX")


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return tmp_path / "new" / "folder" / "records.db"


@pytest.fixture
def store(path: Path) -> Iterator[SqliteStore]:
    with closing(SqliteStore(path)) as made:
        yield made


def spoken(store: SqliteStore, entry_id: str = "e1") -> Entry:
    visit = store.open_visit("C-014", NINE)
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


def test_everything_is_there_after_closing_and_opening_again(path: Path) -> None:
    sound = Clip(bytes(range(256)) * 100, "note guarded at first", 3.5)
    with closing(SqliteStore(path)) as store:
        first = spoken(store)
        confirmed = first.confirm(YES, LATER)
        store.append(first, [sound])
        store.append(confirmed)
        visit = store.end_visit(first.visit_id, LATER)
    with closing(SqliteStore(path)) as store:
        assert store.visits() == (visit,)
        assert store.history("e1") == (first, confirmed)
        assert store.clips("e1") == (sound,)
        store.check()


@posix_only
def test_nobody_else_can_read_the_file_its_log_or_its_folder(
    store: SqliteStore, path: Path
) -> None:
    store.append(spoken(store))
    files = list(path.parent.iterdir())
    assert {f.name for f in files} >= {"records.db", "records.db-wal"}
    assert {stat.S_IMODE(f.stat().st_mode) for f in files} == {0o600}
    assert stat.S_IMODE(path.parent.stat().st_mode) == 0o700


@posix_only
def test_a_file_that_others_could_read_is_closed_to_them(path: Path) -> None:
    SqliteStore(path).close()
    path.chmod(0o664)
    SqliteStore(path).close()
    assert stat.S_IMODE(path.stat().st_mode) == 0o600


@posix_only
def test_a_folder_that_was_there_before_keeps_its_mode(tmp_path: Path) -> None:
    tmp_path.chmod(0o755)
    SqliteStore(tmp_path / "records.db").close()
    assert stat.S_IMODE(tmp_path.stat().st_mode) == 0o755


def test_a_commit_is_synced_before_it_returns(path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    # SQLite's documentation of PRAGMA synchronous: in WAL mode FULL (2) or EXTRA (3) syncs the
    # log after every commit, so a commit survives a power cut; with NORMAL (1) it may be lost.
    used: list[sqlite3.Connection] = []
    connect = sqlite3.connect

    def noted(*args: object, **options: object) -> sqlite3.Connection:
        used.append(connect(*args, **options))  # type: ignore[call-overload]
        return used[-1]

    monkeypatch.setattr(sqlite3, "connect", noted)
    with closing(SqliteStore(path)):
        connection = used[-1]

        def setting(name: str) -> object:
            return connection.execute(f"PRAGMA {name}").fetchone()[0]

        assert setting("journal_mode") == "wal"
        assert setting("synchronous") in (2, 3)
        assert setting("fullfsync") == 1
        assert setting("foreign_keys") == 1
        assert setting("secure_delete") == 1


def test_the_header_says_whose_file_it_is_and_of_which_version(path: Path) -> None:
    # SQLite's file format: user_version at byte 60, application_id at byte 68, big-endian.
    SqliteStore(path).close()
    header = path.read_bytes()[:100]
    assert header[:16] == b"SQLite format 3\0"
    assert int.from_bytes(header[60:64]) == len(MIGRATIONS)
    assert header[68:72] == b"vlog" == APPLICATION_ID.to_bytes(4)


def test_dropped_sound_is_gone_from_the_bytes_on_disk(store: SqliteStore, path: Path) -> None:
    def on_disk(what: bytes) -> bool:
        return any(what in file.read_bytes() for file in path.parent.iterdir())

    first = spoken(store)
    store.append(first, [Clip(b"SOUND-OF-A-VOICE" * 2000, "said in confidence", 4.0)])
    assert on_disk(b"SOUND-OF-A-VOICE")
    store.append(first.drop(LATER, "disregard"))
    assert not on_disk(b"SOUND-OF-A-VOICE")
    assert not on_disk(b"said in confidence")
    assert len(store.history("e1")) == 2


def test_the_file_itself_refuses_to_change_a_version(store: SqliteStore, path: Path) -> None:
    store.append(spoken(store))
    with closing(sqlite3.connect(path)) as other, pytest.raises(sqlite3.IntegrityError):
        other.execute("UPDATE entry_version SET status = 'confirmed'")


def test_a_new_file_that_eight_open_at_once_is_set_up_once(tmp_path: Path) -> None:
    for number in range(15):
        path = tmp_path / f"folder{number}" / "records.db"
        together = Barrier(8)

        def open_and_close(_: int, path: Path = path, together: Barrier = together) -> bool:
            together.wait()
            SqliteStore(path).close()
            return True

        with ThreadPoolExecutor(8) as threads:
            assert all(threads.map(open_and_close, range(8)))


def test_each_migration_is_taken_once_and_in_order(tmp_path: Path) -> None:
    steps = (
        Migration("a table", ("CREATE TABLE a (x INTEGER) STRICT", "INSERT INTO a VALUES (1)")),
        Migration("a column", ("ALTER TABLE a ADD COLUMN y INTEGER",)),
    )
    with closing(sqlite3.connect(tmp_path / "x.db", isolation_level=None)) as db:
        migrate(db, steps[:1])
        assert version_of(db) == 1
        migrate(db, steps)
        migrate(db, steps)
        assert version_of(db) == 2
        assert db.execute("SELECT x, y FROM a").fetchall() == [(1, None)]


def test_a_migration_that_fails_leaves_the_file_as_it_was(tmp_path: Path) -> None:
    steps = (
        Migration("a table", ("CREATE TABLE a (x INTEGER) STRICT",)),
        Migration("broken", ("INSERT INTO a VALUES (1)", "INSERT INTO b VALUES (1)")),
    )
    with closing(sqlite3.connect(tmp_path / "x.db", isolation_level=None)) as db:
        with pytest.raises(sqlite3.OperationalError):
            migrate(db, steps)
        assert version_of(db) == 0
        assert db.execute("SELECT count(*) FROM sqlite_schema").fetchone() == (0,)
