"""Locking the records up, and the ways into them."""

import os
from contextlib import ExitStack
from pathlib import Path

from voicelog.errors import StoreError
from voicelog.safekeeping.unlocking import UNCHANGED, Lock, chosen_passphrase
from voicelog.store.copies import alone, copy_under, kept_steps
from voicelog.store.drivers import FileKey, is_plain
from voicelog.store.examine import Examined
from voicelog.store.failures import explained, refuse_missing
from voicelog.store.keys import Keys, NewKeys, keys_path, read_keys, waiting_keys, write_keys
from voicelog.store.own_files import beside, erase, link_new, sync_folder
from voicelog.store.wrapping import new_file_key
from voicelog.wiring import House

PLAIN = "plain"
NEW_PASSPHRASE = "VOICELOG_NEW_PASSPHRASE"


def lock_up(house: House) -> Examined:
    """Encrypt a store that is plain. The plain file stays until the new one was looked through.

    Raises StoreError when it is encrypted already, there is none, or another program has it open.
    """
    file = house.settings.store_file
    if read_keys(keys_path(file)) is not None:
        do = "Nothing needs to be done; `voicelog check` says how they open"
        raise StoreError("The records are encrypted already", kept=UNCHANGED, do=do)
    key, made = new_file_key(), beside(file, "encrypted")
    with explained(file), ExitStack() as open_files:
        found = copy_under(open_files.enter_context(alone(file, None)), made, key)
        new = house.lock.new_keys(key)
        write_keys(waiting_keys(file), new.keys)
        let_go_on_windows(open_files)
        link_new(file, beside(file, PLAIN))
        made.replace(file)
        waiting_keys(file).replace(keys_path(file))
        sync_folder(file.parent)
        erase_plain_copies(file)
    house.lock.show_recovery(new)
    house.person.tell(f"The records are encrypted; they open by {house.lock.describe(new.keys)}.")
    return found


def plain_copies(store_file: Path) -> tuple[Path, ...]:
    """What is left beside an encrypted store of the time when it was plain."""
    older = (old for old in kept_steps(store_file) if is_plain(old))
    return (*store_file.parent.glob(f"{store_file.name}.{PLAIN}-*"), *older)


def erase_plain_copies(store_file: Path) -> None:
    """Overwrite and remove what is left of the time when the store was plain."""
    for old in plain_copies(store_file):
        erase(old)


def set_passphrase(house: House) -> None:
    """A new passphrase in place of the old one, or of a key kept on this machine.

    It comes from VOICELOG_NEW_PASSPHRASE or the terminal. Raises StoreError when neither gives one.
    """
    lock, keys, key = _unlocked(house)
    given = os.environ.get(NEW_PASSPHRASE)
    passphrase = given or chosen_passphrase(house.person, "nothing is changed")
    if not passphrase:
        raise StoreError(
            "No passphrase was chosen",
            kept=UNCHANGED,
            do=f"Run it at a terminal, or set {NEW_PASSPHRASE}",
        )
    new = NewKeys(keys.without_kept().with_typed("passphrase", passphrase, key, lock.cost))
    if all(way.by != "recovery key" for way in new.keys.typed):
        new = lock.with_recovery(new.keys, key)
    with explained(lock.store_file):
        write_keys(keys_path(lock.store_file), new.keys)
    lock.show_recovery(new)
    lock.forget_kept(keys)


def new_recovery_key(house: House) -> None:
    """A new recovery key, told once; the one before it opens nothing any more."""
    lock, keys, key = _unlocked(house)
    new = lock.with_recovery(keys, key)
    with explained(lock.store_file):
        write_keys(keys_path(lock.store_file), new.keys)
    lock.show_recovery(new)


def let_go_on_windows(open_files: ExitStack) -> None:
    """Windows replaces no file that is open. There nobody else can have it open either, so its
    lock can go a moment before its place is taken."""
    if os.name == "nt":
        open_files.close()


def _unlocked(house: House) -> tuple[Lock, Keys, FileKey]:
    refuse_missing(house.settings.store_file)
    keys, key = read_keys(keys_path(house.settings.store_file)), house.file_key
    if keys is None or key is None:
        raise StoreError(
            "The records are not encrypted",
            kept=UNCHANGED,
            do="Encrypt them first with: voicelog safe lock",
        )
    return house.lock, keys, key
