"""Putting a backup in the place of the records: all of it, or all stays as it was."""

from collections.abc import Iterator
from contextlib import ExitStack, contextmanager, suppress
from datetime import datetime
from pathlib import Path

from voicelog.errors import StoreError
from voicelog.safekeeping.locking import let_go_on_windows
from voicelog.safekeeping.unlocking import UNCHANGED, Lock, Person
from voicelog.store.copies import alone, copy_under, opened
from voicelog.store.drivers import FileKey, is_plain, is_under
from voicelog.store.examine import Examined
from voicelog.store.failures import explained
from voicelog.store.keys import Keys, keys_path, read_keys, write_keys
from voicelog.store.own_files import beside, link_new, sync_folder
from voicelog.wiring import House

_PARTS = ("", "-wal", "-shm", ".keys")
_OLDER = (
    "If a passphrase was set or changed after this backup was written, restore a newer one first:"
    " over those records this one opens as well"
)


def restore(
    house: House, source: Path, now: datetime, *, anyway: bool = False
) -> tuple[Examined, Path | None]:
    """Put a backup, also one of an older version, in the place of the records.

    It is copied, looked through, and only then takes their place; they are kept under the name
    that is returned. Records that are there keep their lock. `anyway` takes the lock of the
    backup instead, also where the records cannot be opened. The person is told where the keys of
    the backup itself are broken or gone. Raises StoreError; then nothing has changed.
    """
    file = house.settings.store_file
    kept = file.with_name(f"{file.name}.before-restore-{now:%Y%m%d-%H%M%S}")
    made = beside(file, "restored")
    _refuse_itself(source, file)
    takes_over = anyway or not file.exists()
    key, keys = _way_into(source, house, takes_over=takes_over)
    with _undone(file, kept, made), explained(file), ExitStack() as open_files:
        if not takes_over:
            open_files.enter_context(alone(file, house.file_key))
        db = open_files.enter_context(opened(source, key))
        found = copy_under(db, made, key if takes_over else house.file_key)
        was_there = file.exists()
        let_go_on_windows(open_files)
        if takes_over:
            _move_aside(file, kept)
            if keys is not None:
                write_keys(keys_path(file), keys)
        else:
            link_new(file, kept)
        made.replace(file)
        sync_folder(file.parent)
    if source.parent.resolve() != file.parent.resolve():  # there it shares the keys of the records
        _tell_of_its_keys(source, house.person)
    return found, kept if was_there else None


@contextmanager
def _undone(file: Path, kept: Path, made: Path) -> Iterator[None]:
    """Where it breaks off before the copy took their place, the records have theirs again."""
    try:
        yield
    except BaseException:
        if made.exists():
            _move_back(file, kept)
            made.unlink()
        raise


def _refuse_itself(source: Path, file: Path) -> None:
    if source.exists() and file.exists() and source.samefile(file):
        raise StoreError(
            f"{source} is the file of the records itself, and no backup",
            kept=UNCHANGED,
            do="Name a file that `voicelog backup` wrote",
        )


def _way_into(
    source: Path, house: House, *, takes_over: bool
) -> tuple[FileKey | None, Keys | None]:
    """The key of a backup and the ways to it: its own, or those of the records here where they have
    the same key. Setting a passphrase changes only the ways, and what opened a backup from before
    may be gone. Raises StoreError."""
    here = read_keys(keys_path(house.settings.store_file))
    if here and not takes_over and (key := house.file_key) and is_under(source, key):
        return key, here
    try:
        keys = read_keys(keys_path(source)) or (None if is_plain(source) else here)
        if keys is None:
            return None, None
        lock = Lock(source, house.person, house.lock.places, house.lock.cost)
        return lock.opened(keys), keys
    except StoreError as refused:
        with suppress(StoreError):
            if here and takes_over and is_under(source, key := house.lock.opened(here)):
                return key, here
        raise StoreError(refused.what, kept=refused.kept, do=f"{refused.do}. {_OLDER}") from refused


def _tell_of_its_keys(source: Path, person: Person) -> None:
    """A backup that the key of the records here opened may have no keys of its own any more."""
    try:
        if is_plain(source) or read_keys(keys_path(source)) is not None:
            return
        trouble = f"There is no keys file {keys_path(source)}"
    except StoreError as error:
        trouble = error.what
    person.tell(
        f"{trouble}. The backup opened by the key of the records here; on a machine without them it"
        " opens no more. All records are back: write a new backup, which has its keys beside it."
    )


def _move_aside(file: Path, kept: Path) -> None:
    """Its log and its keys go with it, or they would be taken for those of the new file."""
    for ending in _PARTS:
        part = file.with_name(f"{file.name}{ending}")
        if part.exists():
            part.rename(kept.with_name(f"{kept.name}{ending}"))


def _move_back(file: Path, kept: Path) -> None:
    for ending in _PARTS:
        here, aside = (path.with_name(f"{path.name}{ending}") for path in (file, kept))
        if aside.exists() and here.exists() and aside.samefile(here):
            aside.unlink()  # only a second name
        elif aside.exists():
            aside.replace(here)
