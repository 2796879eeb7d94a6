"""The ways into the records are changed, and what the settings say of encryption."""

import os
from collections.abc import Callable
from pathlib import Path

import pytest

from tests.integration.homes import WORDS, Somebody, house, reads, ways, write
from voicelog.errors import StoreError
from voicelog.safekeeping import locking
from voicelog.safekeeping.locking import NEW_PASSPHRASE, new_recovery_key, set_passphrase
from voicelog.safekeeping.unlocking import PASSPHRASE, Lock
from voicelog.settings.fields import Settings
from voicelog.store import drivers
from voicelog.store.failures import refuse_missing
from voicelog.store.key_places import KeyFile
from voicelog.wiring import House

pytestmark = pytest.mark.usefixtures("own_folders")

OTHER = "quite another five words"


def test_a_passphrase_takes_the_place_of_the_key_on_this_machine(
    home: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    write(house(home))
    monkeypatch.setenv(NEW_PASSPHRASE, WORDS)
    set_passphrase(house(home))
    assert ways(home) == ["passphrase", "recovery key"]
    assert list((tmp_path / "config" / "voicelog" / "keys").iterdir()) == []
    assert reads(house(home, Somebody([WORDS])))


def test_a_changed_passphrase_opens_and_the_old_one_does_not(
    home: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv(PASSPHRASE, WORDS)
    write(house(home))
    monkeypatch.setenv(NEW_PASSPHRASE, OTHER)
    set_passphrase(house(home))
    with pytest.raises(StoreError):
        house(home).store()
    monkeypatch.setenv(PASSPHRASE, OTHER)
    assert reads(house(home))


def test_a_new_recovery_key_opens_and_the_old_one_does_not(home: Path) -> None:
    first = Somebody([WORDS, WORDS])
    write(house(home, first))
    second = Somebody([WORDS])
    new_recovery_key(house(home, second))
    old, new = (
        next(line.split()[2] for line in person.told if line.startswith("Recovery key: "))
        for person in (first, second)
    )
    assert reads(house(home, Somebody([new])))
    with pytest.raises(StoreError):
        house(home, Somebody([old, old, old])).store()


@pytest.mark.parametrize("change", [set_passphrase, new_recovery_key])
def test_a_recovery_key_is_shown_only_when_it_opens(
    home: Path, change: Callable[[House], None], monkeypatch: pytest.MonkeyPatch
) -> None:
    write(house(home))
    monkeypatch.setenv(NEW_PASSPHRASE, OTHER)
    shown: list[str] = []

    def full(*_: object) -> None:
        raise OSError(28, "No space left on device")

    person = Somebody(told=shown)
    with monkeypatch.context() as patched:
        patched.setattr(locking, "write_keys", full)
        with pytest.raises(StoreError, match="No space left"):
            change(house(home, person))
    assert shown == []
    change(house(home, person))
    assert shown[0].startswith("Recovery key: ")


def test_new_records_under_keys_that_lost_theirs_are_told_of(home: Path) -> None:
    write(house(home))
    (home / "records.sqlite").unlink()
    with pytest.raises(StoreError, match="only its keys") as caught:
        refuse_missing(home / "records.sqlite")
    assert "restore the newest backup" in caught.value.do
    person = Somebody()
    write(house(home, person))
    assert [line for line in person.told if "only its keys. New records are begun" in line]
    person.told.clear()
    assert reads(house(home, person))
    assert person.told == []


def test_two_programs_that_set_up_one_store_agree_on_its_key(home: Path) -> None:
    first, second = house(home), house(home)
    key = first.file_key
    assert second.file_key == key
    write(first)
    assert reads(second)


def test_the_one_that_comes_second_leaves_no_key_behind(
    home: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    late, first = house(home), house(home)
    new_keys = Lock.new_keys

    def overtaken(lock: Lock, key: drivers.FileKey) -> object:
        made = new_keys(lock, key)
        if lock is late.lock:
            write(first)
        return made

    monkeypatch.setattr(Lock, "new_keys", overtaken)
    assert late.file_key == first.file_key
    assert len(list((tmp_path / "config" / "voicelog" / "keys").iterdir())) == 1


def test_plain_only_when_asked_for(home: Path) -> None:
    built = House(Settings(data_folder=home, encrypted=False))
    write(built)
    assert drivers.is_plain(home / "records.sqlite")
    person = Somebody()
    assert reads(house(home, person))
    assert "not encrypted" in person.told[0]
    assert f'voicelog safe lock --data "{home}"' in person.told[0]


def test_an_encrypted_store_stays_encrypted_whatever_the_settings_say(home: Path) -> None:
    write(house(home))
    assert reads(House(Settings(data_folder=home, encrypted=False)))
    assert not drivers.is_plain(home / "records.sqlite")


def test_where_the_records_cannot_be_made_that_is_said_and_no_key_is_left_behind(
    home: Path, tmp_path: Path
) -> None:
    home.write_text("a file in the way")
    with pytest.raises(StoreError, match="cannot be used") as caught:
        house(home).store()
    assert str(home) in caught.value.what
    assert list((tmp_path / "config" / "voicelog" / "keys").iterdir()) == []


def test_where_a_key_can_be_kept_nowhere_nothing_is_written(home: Path) -> None:
    built = house(home)
    lock = Lock(home / "records.sqlite", built.person, (KeyFile((Path(os.devnull),)),))
    with pytest.raises(StoreError, match="nowhere on this machine"):
        lock.key(encrypted=True)
    assert not home.exists()
