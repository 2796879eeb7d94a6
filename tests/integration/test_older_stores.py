"""Files as every earlier version left them are opened, kept, and lose nothing.

`tests/data/older_stores/step_N.sql` was written by the version that had N steps, with the same
records in each, and is never changed.
"""

import sqlite3
from concurrent.futures import ThreadPoolExecutor
from contextlib import closing
from pathlib import Path
from threading import Barrier

import pytest

from voicelog.records.content import Trial
from voicelog.store import copies
from voicelog.store.drivers import FileKey
from voicelog.store.migrations import MIGRATIONS, Migration, migrate, version_of
from voicelog.store.sqlite import SqliteStore

OLDER = Path(__file__).parents[1] / "data" / "older_stores"
STEPS = range(1, len(MIGRATIONS))


@pytest.fixture(params=STEPS)
def path(request: pytest.FixtureRequest, tmp_path: Path) -> Path:
    path = tmp_path / "records.sqlite"
    with closing(sqlite3.connect(path)) as db:
        db.executescript((OLDER / f"step_{request.param}.sql").read_text(encoding="utf-8"))
        assert version_of(db) == request.param
    return path


def test_there_is_a_file_of_every_earlier_version() -> None:
    assert sorted(file.name for file in OLDER.iterdir()) == [f"step_{n}.sql" for n in STEPS]


def test_an_older_file_opens_with_all_its_records(path: Path) -> None:
    with closing(SqliteStore(path)) as store:
        (visit, later) = store.visits()
        assert (visit.visit_id, later.client) == ("2026-03-02-1", "C-015")
        contents = [entry.content for entry in store.records(visit.visit_id)]
        assert [c.pain for c in contents if isinstance(c, Trial)] == [6, 3]
        assert [e.entry_id for e in store.unconfirmed(visit.visit_id)] == ["half"]
        assert store.clips("gap")[0].flac == b"fLaCgap"
        assert [r.entry_id for r in store.find("ankle dorsi")] == ["gap", "baseline"]
        found = store.check()
        kept = sum(found.rows[name] for name in ("visit", "entry_version", "client_fact"))
        assert found.trail.links == kept + 1  # the end of one visit


def test_the_file_is_kept_as_it_was_before_its_first_step(path: Path) -> None:
    with closing(sqlite3.connect(path)) as db:
        before, dump = version_of(db), list(db.iterdump())
    SqliteStore(path).close()
    SqliteStore(path).close()
    (kept,) = copies.kept_steps(path)
    assert kept.name == f"records.sqlite.before-step-{before + 1}"
    with closing(sqlite3.connect(kept)) as db:
        assert version_of(db) == before
        assert list(db.iterdump()) == dump


def test_an_older_file_that_six_open_at_once_takes_its_steps_once(path: Path) -> None:
    together = Barrier(6)

    def open_and_close(_: int) -> bool:
        together.wait()
        SqliteStore(path, wait_s=30).close()
        return True

    with closing(sqlite3.connect(path)) as db:
        dump = list(db.iterdump())
    with ThreadPoolExecutor(6) as threads:
        assert all(threads.map(open_and_close, range(6)))
    (kept,) = copies.kept_steps(path)
    with closing(sqlite3.connect(kept)) as db:
        assert list(db.iterdump()) == dump
    with closing(SqliteStore(path)) as store:
        store.check()


def test_a_new_file_keeps_nothing(tmp_path: Path, file_key: FileKey) -> None:
    for key in (None, file_key):
        SqliteStore(tmp_path / f"{bool(key)}.sqlite", key=key).close()
    assert list(tmp_path.glob("*.before-*")) == []


def test_a_step_that_fails_leaves_the_older_file_to_be_opened_by_its_version(
    path: Path,
) -> None:
    with closing(sqlite3.connect(path)) as db:
        before, dump = version_of(db), list(db.iterdump())
    broken = Migration("breaks half-way", ("CREATE TABLE a (x)", "INSERT INTO b VALUES (1)"))
    with (
        closing(sqlite3.connect(path, isolation_level=None)) as db,
        pytest.raises(sqlite3.OperationalError),
    ):
        migrate(db, (*MIGRATIONS[:before], broken))
    with closing(sqlite3.connect(path)) as db:
        assert (version_of(db), list(db.iterdump())) == (before, dump)
