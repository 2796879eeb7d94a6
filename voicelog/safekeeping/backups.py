"""A copy of the records that was looked through, with its keys beside it."""

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from voicelog.errors import StoreError
from voicelog.store.examine import Examined
from voicelog.store.failures import explained, refuse_missing
from voicelog.store.keys import Keys, keys_path, read_keys, write_keys
from voicelog.store.sqlite import SqliteStore
from voicelog.wiring import House


@dataclass(frozen=True, slots=True)
class Backup:
    """A backup that was looked through; `portable` when another machine can open it too."""

    file: Path
    found: Examined
    portable: bool


def back_up(house: House, target: Path, now: datetime) -> Backup:
    """Write a copy of the store, with its keys beside it, and look through it.

    `target` is a new file, or a folder to write one with the time in its name into. No folder is
    made, as that of a stick which is not plugged in would only seem to be there. Raises StoreError.
    """
    if target.is_dir() or not target.suffix:
        target = target / f"records-{now:%Y%m%d-%H%M%S}.sqlite"
    if not target.parent.is_dir():
        raise StoreError(
            f"There is no folder {target.parent}",
            kept="No backup was written",
            do="Plug the stick in, or make the folder first, or name another one",
        )
    file = house.settings.store_file
    refuse_missing(file)
    keys = read_keys(keys_path(file))
    # Only looked into: a disk that can no longer be written is one to save the records from.
    store = SqliteStore(file, key=house.file_key, to_look=True)
    try:
        with _keys_beside(target, keys):
            found = store.copy_to(target)
    except StoreError:
        store.check()  # where the records themselves are damaged, that is what to tell
        raise
    finally:
        store.close()
    return Backup(target, found, portable=keys is None or bool(keys.typed))


@contextmanager
def _keys_beside(target: Path, keys: Keys | None) -> Iterator[None]:
    """The keys of a backup lie there before it does, as a copy without them opens nowhere, and go
    again when there is none after all. Raises StoreError."""
    if keys is None or target.exists():  # then it is refused, and keeps its own
        yield
        return
    try:
        with explained(target):
            write_keys(keys_path(target), keys)
        yield
    except BaseException:
        if not target.exists():
            keys_path(target).unlink(missing_ok=True)
        raise
