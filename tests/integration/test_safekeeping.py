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
from datetime import UTC, datetime, timedelta
from pathlib import Path
from subprocess import PIPE

import pytest

from voicelog import safekeeping
from voicelog.cli.safe import described
from voicelog.corrections.room import Room
from voicelog.errors import StoreError
from voicelog.records.content import Note
from voicelog.records.entry import Affirmation, Entry
from voicelog.safekeeping import Backup, back_up, lock_up, restore
from voicelog.settings import Settings
from voicelog.store import drivers
from voicelog.store.base import Clip, Parcel
from voicelog.store.keys import keys_path, waiting_keys
from voicelog.unlocking import PASSPHRASE
from voicelog.wiring import House

OLDER = Path(__file__).parents[1] / "data" / "older_stores"
NINE = datetime(2026, 3, 2, 9, 0, tzinfo=UTC)
WORDS = (b"guarded at first", b"C-014", b"SOUND-OF-A-VOICE")


@pytest.fixture(autouse=True)
def own_folders(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("platformdirs.user_config_path", lambda name: tmp_path / "config" / name)


@pytest.fixture
def plain(tmp_path: Path) -> House:
    return filled(House(Settings(data_folder=tmp_path / "plain", encrypted=False)))


@pytest.fixture
def locked(tmp_path: Path) -> House:
    return filled(House(Settings(data_folder=tmp_path / "locked", encrypted=True)))


def filled(house: House) -> House:
    say(house, "e1")
    return house


def say(house: House, name: str) -> None:
    with closing(house.store()) as store:
        visit = store.open_visit("C-014", NINE)
        first = Entry(
            entry_id=name, visit_id=visit.visit_id, client="C-014", status="unconfirmed",
            content=Note(text="guarded at first"), spoken_at=NINE, at=NINE, by="AB",
        )  # fmt: skip
        store.append(first, [Clip(WORDS[2] * 500, "note", 2.0)])
        store.append(first.confirm(Affirmation(read_back="", by="key"), NINE))


def again(house: House) -> House:
    """The same as another start of the program sees it."""
    return House(house.settings)


def all_of(house: House) -> list[Parcel]:
    with closing(again(house).store()) as store:
        store.check()
        return [store.parcel(visit.visit_id) for visit in store.visits()]


def readable(folder: Path) -> set[bytes]:
    content = b"".join(file.read_bytes() for file in folder.rglob("*") if file.is_file())
    return {word for word in WORDS if word in content}


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
        broken.setattr(safekeeping, at, break_off)
        with pytest.raises(KeyboardInterrupt):
            lock_up(plain)
    assert all_of(plain) == before
    left = safekeeping.plain_copies(plain.settings.store_file)
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
    kind: str, request: pytest.FixtureRequest, tmp_path: Path
) -> None:
    house: House = request.getfixturevalue(kind)
    done = back_up(house, tmp_path / "stick", NINE)
    assert done.file.name == "records-20260302-090000.sqlite"
    with closing(house.store()) as store:
        assert done.found == store.check()
    assert readable(tmp_path / "stick") == (set(WORDS) if kind == "plain" else set())
    assert done.portable is (kind == "plain")
    if os.name == "posix":
        modes = {stat.S_IMODE(f.stat().st_mode) for f in (tmp_path / "stick").iterdir()}
        assert modes == {0o600}


def test_a_backup_overwrites_nothing(locked: House, tmp_path: Path) -> None:
    there = tmp_path / "mine.sqlite"
    there.write_text("something else")
    with pytest.raises(StoreError, match="is there already"):
        back_up(locked, there, NINE)
    assert there.read_text() == "something else"
    assert [f.name for f in tmp_path.glob("mine*")] == ["mine.sqlite"]


def test_a_backup_is_written_while_others_have_the_store_open(
    locked: House, tmp_path: Path
) -> None:
    with closing(again(locked).store()) as other:
        other._connection.execute("BEGIN")
        assert len(other.history("e1")) == 2
        done = back_up(locked, tmp_path / "stick", NINE)
        other._connection.execute("ROLLBACK")
        say(locked, "e2")
    assert done.found.rows["entry_version"] == 2


def test_what_came_after_the_backup_is_kept_beside_it(locked: House, tmp_path: Path) -> None:
    before = all_of(locked)
    done = back_up(locked, tmp_path / "stick", NINE)
    say(locked, "e2")
    after = all_of(locked)
    found, kept = restore(again(locked), done.file, NINE)
    assert found == done.found
    assert all_of(locked) == before
    assert kept is not None
    restore(again(locked), with_keys(kept, locked), NINE + timedelta(minutes=1))
    assert all_of(locked) == after


def with_keys(file: Path, house: House) -> Path:
    """A copy that was kept beside the records, with their keys beside it."""
    keys_path(file).write_bytes(keys_path(house.settings.store_file).read_bytes())
    return file


def test_a_backup_is_put_back_on_a_machine_that_has_nothing(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv(PASSPHRASE, "five words of my own")
    here = filled(House(Settings(data_folder=tmp_path / "here", encrypted=True)))
    done = back_up(here, tmp_path / "stick", NINE)
    assert done.portable
    there = House(Settings(data_folder=tmp_path / "there", encrypted=True))
    assert restore(there, done.file, NINE) == (done.found, None)
    assert all_of(there) == all_of(here)
    assert readable(tmp_path / "there") == set()


def test_records_keep_their_own_lock_when_a_backup_of_another_comes_in(
    plain: House, locked: House, tmp_path: Path
) -> None:
    done = back_up(plain, tmp_path / "stick", NINE)
    restore(again(locked), done.file, NINE)
    assert all_of(locked) == all_of(plain)
    assert readable(locked.settings.data_folder) == set()


@pytest.mark.parametrize("step", [1, 2])
def test_a_backup_of_an_earlier_version_is_put_back_and_left_as_it_is(
    locked: House, tmp_path: Path, step: int
) -> None:
    old = tmp_path / "old.sqlite"
    with closing(sqlite3.connect(old)) as db:
        db.executescript((OLDER / f"step_{step}.sql").read_text(encoding="utf-8"))
    before = old.read_bytes()
    restore(again(locked), old, NINE)
    assert [p.visit.client for p in all_of(locked)] == ["C-014", "C-015"]
    assert old.read_bytes() == before


def damaged(done: Backup) -> Path:
    content = bytearray(done.file.read_bytes())
    content[len(content) // 2 :] = bytes(len(content) - len(content) // 2)
    done.file.write_bytes(content)
    return done.file


@pytest.mark.parametrize("anyway", [False, True])
def test_a_damaged_backup_is_refused_and_nothing_changes(
    locked: House, tmp_path: Path, anyway: bool
) -> None:
    before = all_of(locked)
    done = back_up(locked, tmp_path / "stick", NINE)
    with pytest.raises(StoreError):
        restore(again(locked), damaged(done), NINE, anyway=anyway)
    assert all_of(locked) == before
    folder = locked.settings.data_folder
    assert {f.name for f in folder.iterdir()} == {"records.sqlite", "records.sqlite.keys"}


def test_what_is_no_backup_is_refused(locked: House, tmp_path: Path) -> None:
    letter = tmp_path / "letter.sqlite"
    letter.write_text("not a database, but a letter" * 100)
    for source in (letter, tmp_path / "missing.sqlite"):
        with pytest.raises(StoreError):
            restore(again(locked), source, NINE)


def test_a_backup_of_a_newer_version_is_refused_in_words_and_nothing_changes(
    locked: House, plain: House, tmp_path: Path
) -> None:
    before = all_of(locked)
    newer = back_up(plain, tmp_path / "stick", NINE).file
    with closing(sqlite3.connect(newer, isolation_level=None)) as db:
        (version,) = db.execute("PRAGMA user_version").fetchone()
        db.execute(f"PRAGMA user_version = {version + 1}")
    for anyway in (False, True):
        with pytest.raises(StoreError, match="newer version"):
            restore(again(locked), newer, NINE, anyway=anyway)
        assert all_of(locked) == before
    folder = locked.settings.data_folder
    assert {f.name for f in folder.iterdir()} == {"records.sqlite", "records.sqlite.keys"}


def test_records_that_cannot_be_opened_any_more_are_replaced_anyway_and_kept(
    locked: House, tmp_path: Path
) -> None:
    before, file = all_of(locked), locked.settings.store_file
    done = back_up(locked, tmp_path / "stick", NINE)
    file.write_bytes(b"\xa5" * 8192)
    with pytest.raises(StoreError):
        restore(again(locked), done.file, NINE)
    _, kept = restore(again(locked), done.file, NINE, anyway=True)
    assert all_of(locked) == before
    assert kept is not None
    assert kept.read_bytes() == b"\xa5" * 8192
    assert keys_path(kept).exists()


def test_a_store_that_is_open_elsewhere_is_not_replaced(locked: House, tmp_path: Path) -> None:
    done = back_up(locked, tmp_path / "stick", NINE)
    with (
        closing(again(locked).store()),
        pytest.raises(StoreError, match="in use by another program"),
    ):
        restore(again(locked), done.file, NINE)
    say(locked, "e2")
