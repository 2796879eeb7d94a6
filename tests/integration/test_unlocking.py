"""Where the key of the records comes from, in its order, and the ways into them."""

import os
import stat
from collections.abc import Iterator
from pathlib import Path

import keyring
import pytest
from keyring.backend import KeyringBackend
from keyring.errors import KeyringError

from tests.integration.homes import WORDS, Somebody, house, reads, ways, write
from voicelog.errors import StoreError
from voicelog.safekeeping.unlocking import PASSPHRASE
from voicelog.store import drivers
from voicelog.store.key_places import Keyring
from voicelog.store.keys import keys_path

pytestmark = pytest.mark.usefixtures("own_folders")


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
    assert max(len(f"{each}: ") for each in person.asked[0].split("\n")) < 80, "it breaks in a word"
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
