"""A backup is put back, or refused with nothing changed."""

import sqlite3
from contextlib import closing, suppress
from dataclasses import dataclass, field
from datetime import timedelta
from pathlib import Path

import pytest

from tests.integration.houses import NINE, OLDER, again, all_of, filled, readable, say
from voicelog.errors import StoreError
from voicelog.safekeeping import restoring
from voicelog.safekeeping.backups import Backup, back_up
from voicelog.safekeeping.restoring import restore
from voicelog.safekeeping.unlocking import PASSPHRASE, Nobody
from voicelog.settings.fields import Settings
from voicelog.store.copies import other_copies
from voicelog.store.drivers import sqlcipher
from voicelog.store.failures import explained, refuse_missing
from voicelog.store.keys import keys_path
from voicelog.wiring import House

pytestmark = pytest.mark.usefixtures("own_folders")


def test_what_came_after_the_backup_is_kept_beside_it(locked: House, stick: Path) -> None:
    before = all_of(locked)
    done = back_up(locked, stick, NINE)
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
    tmp_path: Path, stick: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv(PASSPHRASE, "five words of my own")
    here = filled(House(Settings(data_folder=tmp_path / "here", encrypted=True)))
    done = back_up(here, stick, NINE)
    assert done.portable
    there = House(Settings(data_folder=tmp_path / "there", encrypted=True))
    assert restore(there, done.file, NINE) == (done.found, None)
    assert all_of(there) == all_of(here)
    assert readable(tmp_path / "there") == set()


def test_records_keep_their_own_lock_when_a_backup_of_another_comes_in(
    plain: House, locked: House, stick: Path
) -> None:
    done = back_up(plain, stick, NINE)
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
    locked: House, stick: Path, anyway: bool
) -> None:
    before = all_of(locked)
    done = back_up(locked, stick, NINE)
    with pytest.raises(StoreError):
        restore(again(locked), damaged(done), NINE, anyway=anyway)
    assert all_of(locked) == before
    folder = locked.settings.data_folder
    assert {f.name for f in folder.iterdir()} == {"records.sqlite", "records.sqlite.keys"}


@dataclass
class Told(Nobody):
    """Nobody who answers, but somebody who is told."""

    lines: list[str] = field(default_factory=list)

    def tell(self, line: str) -> None:
        self.lines.append(line)


@pytest.mark.parametrize("broken", [b'{"voicelog_keys": 1, "ways": [', None])
def test_the_keys_of_a_backup_that_are_broken_or_gone_are_told_of(
    locked: House, stick: Path, broken: bytes | None
) -> None:
    before, done, person = all_of(locked), back_up(locked, stick, NINE), Told()
    restore(House(locked.settings, person), done.file, NINE)
    assert person.lines == []
    own = keys_path(done.file)
    own.write_bytes(broken) if broken else own.unlink()
    restore(House(locked.settings, person), done.file, NINE + timedelta(minutes=1))
    (line,) = person.lines
    assert str(own) in line
    assert "it is damaged" in line or broken is None
    assert "All records are back: write a new backup" in line
    assert all_of(locked) == before


def test_broken_keys_of_a_backup_keep_nobody_from_it_whose_own_keys_open_it(
    locked: House, stick: Path
) -> None:
    before, done, person = all_of(locked), back_up(locked, stick, NINE), Told()
    keys_path(done.file).write_bytes(b"{")
    locked.settings.store_file.write_bytes(b"\xa5" * 8192)
    restore(House(locked.settings, person), done.file, NINE, anyway=True)
    assert all_of(locked) == before
    assert "it is damaged" in person.lines[-1]


def test_what_is_no_backup_is_refused(locked: House, tmp_path: Path) -> None:
    letter = tmp_path / "letter.sqlite"
    letter.write_text("not a database, but a letter" * 100)
    for source in (letter, tmp_path / "missing.sqlite"):
        with pytest.raises(StoreError):
            restore(again(locked), source, NINE)


def test_a_backup_of_a_newer_version_is_refused_in_words_and_nothing_changes(
    locked: House, plain: House, stick: Path
) -> None:
    before = all_of(locked)
    newer = back_up(plain, stick, NINE).file
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
    locked: House, stick: Path
) -> None:
    before, file = all_of(locked), locked.settings.store_file
    done = back_up(locked, stick, NINE)
    file.write_bytes(b"\xa5" * 8192)
    with pytest.raises(StoreError):
        restore(again(locked), done.file, NINE)
    _, kept = restore(again(locked), done.file, NINE, anyway=True)
    assert all_of(locked) == before
    assert kept is not None
    assert kept.read_bytes() == b"\xa5" * 8192
    assert keys_path(kept).exists()


def test_a_store_that_is_open_elsewhere_is_not_replaced(locked: House, stick: Path) -> None:
    done = back_up(locked, stick, NINE)
    with (
        closing(again(locked).store()),
        pytest.raises(StoreError, match="in use by another program"),
    ):
        restore(again(locked), done.file, NINE)
    say(locked, "e2")


@pytest.mark.parametrize("anyway", [False, True])
def test_the_records_are_not_put_in_their_own_place(locked: House, anyway: bool) -> None:
    before = all_of(locked)
    with pytest.raises(StoreError, match="no backup"):
        restore(again(locked), locked.settings.store_file, NINE, anyway=anyway)
    assert all_of(locked) == before


@pytest.mark.parametrize("anyway", [False, True])
@pytest.mark.parametrize("step", ["write_keys", "sync_folder", "link_new"])
def test_a_restore_that_is_told_to_end_leaves_all_as_it_was_or_is_done(
    locked: House, stick: Path, monkeypatch: pytest.MonkeyPatch, step: str, anyway: bool
) -> None:
    done = back_up(locked, stick, NINE)
    say(locked, "e2")
    folder, before = locked.settings.data_folder, all_of(locked)
    names = {place.name for place in folder.iterdir()}

    def told_to_end(*_: object) -> None:
        raise SystemExit(143)

    monkeypatch.setattr(restoring, step, told_to_end)
    with suppress(SystemExit):
        restore(again(locked), done.file, NINE, anyway=anyway)
    if any(".before-restore-" in place.name for place in folder.iterdir()):
        assert all_of(locked) != before  # it was done, and what was there is kept
        return
    assert all_of(locked) == before
    assert {place.name for place in folder.iterdir()} == names


def test_records_that_a_killed_restore_put_aside_are_told_of(locked: House) -> None:
    file = locked.settings.store_file
    aside = file.with_name(f"{file.name}.before-restore-20260302-090000")
    for ending in ("", ".keys"):
        file.with_name(file.name + ending).rename(aside.with_name(aside.name + ending))
    with pytest.raises(StoreError, match="There are no records") as caught:
        refuse_missing(file)
    assert str(aside) in caught.value.do
    assert other_copies(file) == (aside,)


def test_a_disk_that_is_full_is_named_where_a_copy_does_not_fit(tmp_path: Path) -> None:
    # What SQLCipher says where a file may not grow: https://sqlite.org/pragma.html, max_page_count
    with closing(sqlcipher().connect(tmp_path / "source")) as db:
        db.execute("CREATE TABLE clip (flac BLOB)")
        db.execute("INSERT INTO clip VALUES (zeroblob(100000))")
        db.commit()
        db.execute("ATTACH ? AS made KEY ''", (str(tmp_path / "made"),))
        db.execute("PRAGMA made.max_page_count = 3")
        with pytest.raises(StoreError, match="the disk is full") as caught, explained(tmp_path):
            db.execute("SELECT sqlcipher_export('made')")
    assert "Free some space" in caught.value.do
