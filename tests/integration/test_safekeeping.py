"""Locking up a plain store, backups that were looked through, and putting one back.

Copies are made by SQLite's own way (https://sqlite.org/backup.html) and SQLCipher's
(sqlcipher_export in https://www.zetetic.net/sqlcipher/sqlcipher-api/).
"""

import os
import sqlite3
import stat
import subprocess
import sys
from contextlib import closing
from pathlib import Path
from subprocess import PIPE

import pytest

from tests.integration.houses import NINE, OLDER, WORDS, again, all_of, readable, say
from voicelog.cli.safe import described
from voicelog.corrections.room import Room
from voicelog.errors import StoreError
from voicelog.safekeeping import backups, locking
from voicelog.safekeeping.backups import back_up
from voicelog.safekeeping.locking import lock_up
from voicelog.settings.fields import Settings
from voicelog.store import drivers
from voicelog.store.examine import Examined
from voicelog.store.keys import keys_path, waiting_keys
from voicelog.store.sqlite import SqliteStore
from voicelog.wiring import House

pytestmark = pytest.mark.usefixtures("own_folders")


def test_a_plain_store_is_encrypted_with_all_that_is_in_it(plain: House) -> None:
    before, folder = all_of(plain), plain.settings.data_folder
    assert readable(folder) == set(WORDS)
    with closing(plain.store()) as store:
        end = store.check().trail
    assert lock_up(plain).trail == end
    assert readable(folder) == set()
    assert {file.name for file in folder.iterdir()} == {"records.sqlite", "records.sqlite.keys"}
    assert all_of(plain) == before


@pytest.mark.parametrize("step", [1, 2])
def test_a_plain_store_of_an_earlier_version_is_encrypted_and_so_is_what_was_kept_of_it(
    tmp_path: Path, step: int
) -> None:
    house = House(Settings(data_folder=tmp_path / "old", encrypted=True))
    house.settings.data_folder.mkdir()
    with closing(sqlite3.connect(house.settings.store_file)) as db:
        db.executescript((OLDER / f"step_{step}.sql").read_text(encoding="utf-8"))
    before = all_of(house)
    lock_up(again(house))
    assert readable(house.settings.data_folder) == set()
    assert all_of(house) == before


def test_records_encrypted_while_a_desk_runs_are_opened_by_their_key_from_then_on(
    plain: House,
) -> None:
    room = Room(again(plain), lambda: NINE)
    with room.store() as store:
        before = store.visits()
    lock_up(plain)
    with room.store() as store:
        assert store.visits() == before
    assert room.house.file_key is not None


def test_a_store_that_is_open_elsewhere_is_not_encrypted(plain: House) -> None:
    hold = (
        "import sys; from pathlib import Path; from voicelog.store.sqlite import SqliteStore;"
        "store = SqliteStore(Path(sys.argv[1])); print(len(store.history('e1')), flush=True);"
        "sys.stdin.read(); store.close()"
    )
    command = [sys.executable, "-c", hold, str(plain.settings.store_file)]
    with subprocess.Popen(command, stdin=PIPE, stdout=PIPE, text=True) as other:
        assert other.stdout
        assert other.stdout.readline() == "2\n"
        with pytest.raises(StoreError, match="in use by another program"):
            lock_up(plain)
        other.communicate()
    assert drivers.is_plain(plain.settings.store_file)
    assert not keys_path(plain.settings.store_file).exists()


@pytest.mark.parametrize("at", ["write_keys", "link_new", "erase"])
def test_encrypting_that_breaks_off_loses_nothing(
    plain: House, at: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    before = all_of(plain)

    def break_off(*_: object) -> None:
        raise KeyboardInterrupt

    with monkeypatch.context() as broken:
        broken.setattr(locking, at, break_off)
        with pytest.raises(KeyboardInterrupt):
            lock_up(plain)
    assert all_of(plain) == before
    left = locking.plain_copies(plain.settings.store_file)
    if at == "erase":
        assert str(left[0]) in described(again(plain))
    else:
        assert left == ()


def test_encrypting_that_broke_off_before_its_keys_were_in_place_is_finished(plain: House) -> None:
    before, file = all_of(plain), plain.settings.store_file
    lock_up(plain)
    keys_path(file).rename(waiting_keys(file))
    assert all_of(plain) == before
    assert keys_path(file).exists()


def test_what_is_encrypted_already_is_said_to_be(locked: House) -> None:
    with pytest.raises(StoreError, match="encrypted already"):
        lock_up(locked)


@pytest.mark.parametrize("kind", ["plain", "locked"])
def test_a_backup_holds_everything_and_is_as_locked_as_the_records(
    kind: str, request: pytest.FixtureRequest, stick: Path
) -> None:
    house: House = request.getfixturevalue(kind)
    done = back_up(house, stick, NINE)
    assert done.file.name == "records-20260302-090000.sqlite"
    with closing(house.store()) as store:
        assert done.found == store.check()
    assert readable(stick) == (set(WORDS) if kind == "plain" else set())
    assert done.portable is (kind == "plain")
    if os.name == "posix":
        modes = {stat.S_IMODE(f.stat().st_mode) for f in stick.iterdir()}
        assert modes == {0o600}


def test_a_backup_overwrites_nothing(locked: House, tmp_path: Path) -> None:
    there = tmp_path / "mine.sqlite"
    there.write_text("something else")
    with pytest.raises(StoreError, match="is there already"):
        back_up(locked, there, NINE)
    assert there.read_text() == "something else"
    assert [f.name for f in tmp_path.glob("mine*")] == ["mine.sqlite"]


def test_a_backup_is_written_while_others_have_the_store_open(locked: House, stick: Path) -> None:
    with closing(again(locked).store()) as other:
        other._connection.execute("BEGIN")
        assert len(other.history("e1")) == 2
        done = back_up(locked, stick, NINE)
        other._connection.execute("ROLLBACK")
        say(locked, "e2")
    assert done.found.rows["entry_version"] == 2


@pytest.mark.parametrize("name", ["stick", "stick/copy.sqlite"])
def test_a_stick_that_is_not_plugged_in_is_missed(locked: House, tmp_path: Path, name: str) -> None:
    before = set(tmp_path.iterdir())
    with pytest.raises(StoreError, match="There is no folder") as caught:
        back_up(locked, tmp_path / name, NINE)
    assert str(tmp_path / "stick") in caught.value.what
    assert set(tmp_path.iterdir()) == before


def test_where_the_records_are_damaged_they_and_not_the_copy_are_named(
    plain: House, stick: Path
) -> None:
    file = plain.settings.store_file
    with closing(sqlite3.connect(file)) as db:
        (page,) = db.execute("SELECT rootpage FROM sqlite_schema WHERE name = 'clip'").fetchone()
    with file.open("r+b") as written:
        written.seek((page - 1) * 4096)
        written.write(b"\xa5" * 4096)
    with pytest.raises(StoreError, match="damaged") as caught:
        back_up(again(plain), stick, NINE)
    assert str(file) in caught.value.what
    assert list(stick.iterdir()) == []


def test_a_backup_never_lies_there_without_its_keys(
    plain: House, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    lock_up(plain)
    house, target = again(plain), tmp_path / "stick" / "today.sqlite"
    target.parent.mkdir()
    copied = SqliteStore.copy_to
    with_keys: list[bool] = []

    def watched(store: SqliteStore, to: Path) -> Examined:
        with_keys.append(keys_path(to).exists())
        return copied(store, to)

    def full(path: Path, keys: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(SqliteStore, "copy_to", watched)
    with monkeypatch.context() as patched:
        patched.setattr(backups, "write_keys", full)
        with pytest.raises(StoreError, match="No space left"):
            back_up(house, target, NINE)
    assert list(target.parent.iterdir()) == []
    back_up(house, target, NINE)
    assert with_keys == [True]
    theirs = keys_path(target).read_bytes()
    with pytest.raises(StoreError, match="is there already"):
        back_up(house, target, NINE)
    assert keys_path(target).read_bytes() == theirs


def test_where_no_copy_came_about_no_keys_are_left(
    plain: House, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    lock_up(plain)

    def broken(store: SqliteStore, to: Path) -> Examined:
        raise StoreError("The disk is full")

    monkeypatch.setattr(SqliteStore, "copy_to", broken)
    with pytest.raises(StoreError, match="The disk is full"):
        back_up(again(plain), tmp_path / "today.sqlite", NINE)
    assert list(tmp_path.glob("today*")) == []
