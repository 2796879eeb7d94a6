"""Where the key of the records comes from, in its order, and the ways into them."""

import os
import stat
from collections.abc import Iterator
from contextlib import closing
from dataclasses import dataclass, field
from datetime import UTC, datetime
from pathlib import Path

import keyring
import pytest
from keyring.backend import KeyringBackend
from keyring.errors import KeyringError

from voicelog.errors import StoreError
from voicelog.safekeeping import NEW_PASSPHRASE, new_recovery_key, set_passphrase
from voicelog.settings import Settings
from voicelog.store import drivers
from voicelog.store.key_places import KeyFile, Keyring
from voicelog.store.keys import keys_path, read_keys
from voicelog.store.wrapping import Cost
from voicelog.unlocking import PASSPHRASE, Lock
from voicelog.wiring import House

NINE = datetime(2026, 3, 2, 9, 0, tzinfo=UTC)
WORDS = "four or five long words"
OTHER = "quite another five words"


@dataclass
class Somebody:
    """Types these answers, one for each question, and hears what is said."""

    answers: list[str] = field(default_factory=list)
    asked: list[str] = field(default_factory=list)
    told: list[str] = field(default_factory=list)

    def ask(self, question: str) -> str | None:
        self.asked.append(question)
        return self.answers.pop(0)

    def tell(self, line: str) -> None:
        self.told.append(line)


class InMemory(KeyringBackend):
    """A keyring as a desktop has one."""

    priority = 5

    def __init__(self) -> None:
        super().__init__()  # type: ignore[no-untyped-call]
        self.kept: dict[tuple[str, str], str] = {}
        self.locked = False

    def set_password(self, service: str, username: str, password: str) -> None:
        if self.locked:
            raise KeyringError("locked")
        self.kept[service, username] = password

    def get_password(self, service: str, username: str) -> str | None:
        if self.locked:
            raise KeyringError("locked")
        return self.kept.get((service, username))

    def delete_password(self, service: str, username: str) -> None:
        del self.kept[service, username]


@pytest.fixture
def desktop() -> Iterator[InMemory]:
    before, mine = keyring.get_keyring(), InMemory()
    keyring.set_keyring(mine)
    yield mine
    keyring.set_keyring(before)


@pytest.fixture(autouse=True)
def own_folders(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("platformdirs.user_config_path", lambda name: tmp_path / "config" / name)


@pytest.fixture
def home(tmp_path: Path) -> Path:
    return tmp_path / "data"


def house(home: Path, person: Somebody | None = None) -> House:
    """As the command line builds it, but with guesses that cost next to nothing."""
    settings = Settings(data_folder=home, encrypted=True)
    made = House(settings) if person is None else House(settings, person)
    lock = Lock(settings.store_file, made.person, made.lock.places, Cost(log2_n=4))
    made.__dict__["lock"] = lock
    return made


def write(built: House) -> None:
    with closing(built.store()) as store:
        store.open_visit("C-014", NINE)


def reads(built: House) -> bool:
    with closing(built.store()) as store:
        return [visit.client for visit in store.visits()] == ["C-014"]


def ways(home: Path) -> list[str]:
    keys = read_keys(keys_path(home / "records.sqlite"))
    assert keys is not None
    return [way.by for way in keys.ways]


def test_with_nothing_set_and_nobody_there_the_key_lies_in_a_file(home: Path) -> None:
    write(house(home))
    assert ways(home) == ["key file"]
    assert not drivers.is_plain(home / "records.sqlite")
    assert reads(house(home))


@pytest.mark.skipif(os.name != "posix", reason="file modes are a matter of POSIX")
def test_key_and_keys_are_readable_by_their_owner_alone(home: Path, tmp_path: Path) -> None:
    write(house(home))
    (key,) = (tmp_path / "config" / "voicelog" / "keys").iterdir()
    for file in (key, keys_path(home / "records.sqlite")):
        assert stat.S_IMODE(file.stat().st_mode) == 0o600
    assert stat.S_IMODE(key.parent.stat().st_mode) == 0o700


def test_it_says_that_such_a_key_lies_on_the_same_machine(home: Path) -> None:
    person = Somebody([""])
    write(house(home, person))
    (line,) = person.told
    assert "on this same machine" in line
    assert ".key" in line


def test_the_key_lies_beside_the_records_where_the_config_folder_cannot_be_written(
    home: Path, tmp_path: Path
) -> None:
    (tmp_path / "config").write_text("a file in the way")
    write(house(home))
    assert [file.suffix for file in home.glob("*.key")] == [".key"]
    assert reads(house(home))


def test_the_environment_comes_first(
    home: Path, desktop: InMemory, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv(PASSPHRASE, WORDS)
    write(house(home, Somebody()))
    assert ways(home) == ["passphrase"]
    assert desktop.kept == {}
    assert reads(house(home))


def test_then_the_keyring(home: Path, desktop: InMemory) -> None:
    person = Somebody()
    write(house(home, person))
    assert ways(home) == ["keyring"]
    assert len(desktop.kept) == 1
    assert person.asked == []
    assert reads(house(home))


def test_then_what_is_typed_and_a_recovery_key_is_shown_once(home: Path) -> None:
    person = Somebody(["short", WORDS, "not the same", WORDS, WORDS])
    write(house(home, person))
    assert ways(home) == ["passphrase", "recovery key"]
    (recovery,) = [line.split()[2] for line in person.told if line.startswith("Recovery key: ")]
    assert any("Too short" in line for line in person.told)
    assert reads(house(home, Somebody([WORDS])))
    assert reads(house(home, Somebody(["wrong", recovery.lower()])))


def test_then_a_key_file_when_enter_alone_is_pressed(home: Path) -> None:
    write(house(home, Somebody([""])))
    assert ways(home) == ["key file"]


def test_a_keyring_that_is_locked_counts_as_none(home: Path, desktop: InMemory) -> None:
    desktop.locked = True
    write(house(home))
    assert ways(home) == ["key file"]


def test_a_keyring_that_is_no_safe_place_counts_as_none(home: Path) -> None:
    """The library's own scale: fail has priority 0, and what is kept in plain text 0.5."""
    assert not Keyring().put("00" * 8, bytes(32))


def test_a_wrong_passphrase_gets_one_clear_line(
    home: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv(PASSPHRASE, WORDS)
    write(house(home))
    monkeypatch.setenv(PASSPHRASE, "wrong")
    with pytest.raises(StoreError, match=PASSPHRASE) as caught:
        house(home).store()
    assert "as they were" in caught.value.kept
    assert caught.value.do
    assert "\n" not in str(caught.value)
    monkeypatch.delenv(PASSPHRASE)
    with pytest.raises(StoreError, match="locked") as caught:
        house(home).store()
    assert PASSPHRASE in caught.value.do
    with pytest.raises(StoreError, match="typed does not open"):
        house(home, Somebody(["a", "b", "c"])).store()


def test_a_key_that_is_gone_is_named(home: Path, tmp_path: Path) -> None:
    write(house(home))
    (key,) = (tmp_path / "config" / "voicelog" / "keys").iterdir()
    key.unlink()
    with pytest.raises(StoreError, match="its key is missing") as caught:
        house(home).store()
    assert str(key) in caught.value.what


def test_keys_that_are_damaged_or_gone_are_named_and_nothing_is_overwritten(home: Path) -> None:
    write(house(home))
    before = (home / "records.sqlite").read_bytes()
    keys_path(home / "records.sqlite").write_text("{}")
    with pytest.raises(StoreError, match="it is damaged"):
        house(home).store()
    keys_path(home / "records.sqlite").unlink()
    with pytest.raises(StoreError, match="keys beside it is missing"):
        house(home).store()
    assert (home / "records.sqlite").read_bytes() == before


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
    assert "voicelog safe lock" in person.told[0]


def test_an_encrypted_store_stays_encrypted_whatever_the_settings_say(home: Path) -> None:
    write(house(home))
    assert reads(House(Settings(data_folder=home, encrypted=False)))
    assert not drivers.is_plain(home / "records.sqlite")


def test_where_a_key_can_be_kept_nowhere_nothing_is_written(home: Path) -> None:
    built = house(home)
    lock = Lock(home / "records.sqlite", built.person, (KeyFile((Path(os.devnull),)),))
    with pytest.raises(StoreError, match="nowhere on this machine"):
        lock.key(encrypted=True)
    assert not home.exists()
