"""Everything that can be wrong with the file of records: one clear line, nothing lost.

Kinds of failure: SQLite's list of result codes (https://sqlite.org/rescode.html), each provoked
for real rather than raised by hand.
"""

import os
import shutil
import sqlite3
import tempfile
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path

import pytest

from tests.integration.houses import OLDER
from tests.integration.sqlite_samples import refusal, spoken
from voicelog.errors import StoreError
from voicelog.store.base import Clip
from voicelog.store.drivers import FileKey
from voicelog.store.sqlite import SqliteStore

LARGE = Clip(b"\xa5" * 200_000, "a long note", 20.0)


posix_only = pytest.mark.skipif(os.name != "posix", reason="file modes are a matter of POSIX")


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
        assert "what was saved before is still there" in caught.value.kept
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


@posix_only
@pytest.mark.parametrize("key", [None, FileKey(bytes(range(48)))], ids=["plain", "encrypted"])
@pytest.mark.parametrize("closed", ["", "records.db"], ids=["folder", "file"])
def test_what_is_read_only_can_be_looked_into(
    unprivileged: Path, key: FileKey | None, closed: str
) -> None:
    path = unprivileged / "records.db"
    with closing(SqliteStore(path, key=key)) as store:
        first = spoken(store)
        store.append(first)
    (unprivileged / closed).chmod(0o400 if closed else 0o500)
    with closing(SqliteStore(path, key=key, to_look=True)) as store:
        assert store.history("e1") == (first,)
        assert store.check().rows["entry_version"] == 1
        with pytest.raises(StoreError, match="cannot be written"):
            store.append(spoken(store, "e2"))
    assert [file.name for file in unprivileged.iterdir()] == ["records.db"]


@posix_only
def test_what_another_program_has_in_its_log_is_read_too(unprivileged: Path) -> None:
    path = unprivileged / "records.db"
    with closing(SqliteStore(path)) as other:
        first = spoken(other)
        other.append(first)
        path.chmod(0o400)
        with closing(SqliteStore(path, to_look=True)) as store:
            assert store.history("e1") == (first,)


@posix_only
def test_what_is_read_only_and_of_an_earlier_version_is_not_looked_into(unprivileged: Path) -> None:
    path = unprivileged / "records.db"
    with closing(sqlite3.connect(path)) as db:
        db.executescript((OLDER / "step_2.sql").read_text(encoding="utf-8"))
    path.chmod(0o400)
    with pytest.raises(StoreError, match="cannot be written"):
        SqliteStore(path, to_look=True)


def test_a_path_that_is_a_folder(tmp_path: Path) -> None:
    assert "is a folder" in refusal(tmp_path).what


def test_a_path_below_a_file(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("x")
    refusal(tmp_path / "file" / "records.db")


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


@pytest.mark.parametrize("small_disk", ["1m"], indirect=True)
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


@pytest.mark.parametrize("small_disk", ["1m"], indirect=True)
def test_a_disk_full_from_the_start(small_disk: Path) -> None:
    (small_disk / "ballast").write_bytes(bytes(1024 * 1024))
    with pytest.raises(StoreError, match=r"full|space"):
        SqliteStore(small_disk / "records.db")


def test_an_old_sqlite_is_named(path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sqlite3, "sqlite_version_info", (3, 34, 1))
    with pytest.raises(StoreError, match="too old"):
        SqliteStore(path)
