"""A backup whose own way in is gone, as a passphrase was set after it was written."""

from pathlib import Path

import pytest

from tests.integration.homes import NINE, WORDS, Somebody, house, reads, write
from voicelog.errors import StoreError
from voicelog.safekeeping.backups import back_up
from voicelog.safekeeping.locking import NEW_PASSPHRASE, new_recovery_key, set_passphrase
from voicelog.safekeeping.restoring import restore
from voicelog.safekeeping.unlocking import PASSPHRASE
from voicelog.store.keys import keys_path

pytestmark = pytest.mark.usefixtures("own_folders")


@pytest.fixture
def backup(home: Path, stick: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Written while a key on this machine opened the records; a passphrase opens them now."""
    write(house(home))
    file = back_up(house(home), stick, NINE).file
    monkeypatch.setenv(NEW_PASSPHRASE, WORDS)
    set_passphrase(house(home))
    monkeypatch.setenv(PASSPHRASE, WORDS)
    return file


@pytest.mark.parametrize("anyway", [False, True])
def test_it_opens_where_the_records_are(home: Path, backup: Path, anyway: bool) -> None:
    restore(house(home), backup, NINE, anyway=anyway)
    assert reads(house(home))


def test_it_opens_where_only_their_keys_are_left(home: Path, backup: Path) -> None:
    (home / "records.sqlite").unlink()
    restore(house(home), backup, NINE)
    assert reads(house(home))


def test_whoever_sits_there_is_asked_once(
    home: Path, backup: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.delenv(PASSPHRASE)
    restore(house(home, Somebody([WORDS])), backup, NINE)


def test_so_does_what_was_kept_beside_the_records_with_no_keys_of_its_own(
    home: Path, backup: Path
) -> None:
    _, kept = restore(house(home), backup, NINE)
    assert kept is not None
    assert not keys_path(kept).exists()
    (home / "records.sqlite").unlink()
    restore(house(home), kept, NINE)
    assert reads(house(home))


def test_elsewhere_it_opens_over_a_newer_backup_and_says_so(
    home: Path, backup: Path, stick: Path, tmp_path: Path
) -> None:
    newer, there = back_up(house(home), stick / "newer.sqlite", NINE).file, tmp_path / "there"
    with pytest.raises(StoreError, match="restore a newer one first"):
        restore(house(there), backup, NINE)
    assert not there.exists()
    restore(house(there), newer, NINE)
    restore(house(there), backup, NINE)
    assert reads(house(there))


def test_one_from_when_there_was_only_a_recovery_key_says_that_it_may_be_older(
    home: Path, stick: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    write(house(home))
    new_recovery_key(house(home))
    file = back_up(house(home), stick, NINE).file
    monkeypatch.setenv(PASSPHRASE, WORDS)
    with pytest.raises(StoreError, match="set or changed after this backup was written"):
        restore(house(tmp_path / "there"), file, NINE)
