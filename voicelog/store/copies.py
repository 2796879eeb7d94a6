"""Copies of a whole store: each is looked through before anybody relies on it."""

import sqlite3
from collections.abc import Iterator
from contextlib import closing, contextmanager
from pathlib import Path
from typing import cast

from voicelog.errors import StoreError
from voicelog.store import drivers
from voicelog.store.drivers import FileKey
from voicelog.store.examine import Examined, examine, rows_of
from voicelog.store.failures import damaged, explained, refuse_empty
from voicelog.store.migrations import APPLICATION_ID, MIGRATIONS, migrate, version_of
from voicelog.store.own_files import beside, make_folder, sync_folder

_WAIT_S = 5.0


def copy(source: sqlite3.Connection, target: Path, key: FileKey | None) -> Examined:
    """Copy a store as it is at this moment to a new file under the same key, and look through it.

    Others may write meanwhile (https://sqlite.org/backup.html). Raises StoreError; then there is
    no file at `target`, or it is what was there before.
    """
    with _new_file(target) as made, explained(target), closing(_to_write(made, key)) as copied:
        source.execute("BEGIN")
        try:
            rows = rows_of(source)
            source.backup(copied)
        finally:
            source.rollback()
        copied.execute("PRAGMA journal_mode = DELETE")  # one file, and nothing beside it
        return _same(examine(copied, target, encrypted=key is not None), rows, target)


def copy_under(source: sqlite3.Connection, target: Path, key: FileKey | None) -> Examined:
    """Copy a store to a new file under another key, or none, bring it up to date, look through it.

    `source` is a connection of `opened` or `alone`. Raises StoreError; then there is no file at
    `target`.
    """
    with _new_file(target) as made, explained(target):
        rows = rows_of(source)
        source.execute(f"ATTACH ? AS made KEY {key.literal if key else repr('')}", (str(made),))
        source.execute("SELECT sqlcipher_export('made')")
        source.execute(f"PRAGMA made.application_id = {APPLICATION_ID}")
        source.execute(f"PRAGMA made.user_version = {version_of(source)}")
        source.execute("DETACH made")
        with closing(_to_write(made, key)) as copied:
            _same(examine(copied, target, encrypted=key is not None), rows, target)
            migrate(copied)
            return examine(copied, target, encrypted=key is not None)


@contextmanager
def opened(path: Path, key: FileKey | None) -> Iterator[sqlite3.Connection]:
    """A store to copy from, by SQLCipher, which alone can copy from one key to another.

    Raises StoreError when it is none of ours, or cannot be read.
    """
    if not path.is_file():
        do = "Check the name and the folder"
        raise StoreError(f"There is no file {path}", kept="Nothing was changed", do=do)
    with explained(path), closing(_by_sqlcipher(path, key)) as db:
        refuse_empty(path)
        _check_ours(db, path)
        yield db


@contextmanager
def alone(path: Path, key: FileKey | None) -> Iterator[sqlite3.Connection]:
    """The same while no other program has the store open, or can open it.

    Leaving the write-ahead log succeeds only where nobody else has the file open
    (https://sqlite.org/wal.html); the exclusive lock then stays until the connection is closed.
    """
    with opened(path, key) as db:
        db.execute("PRAGMA locking_mode = EXCLUSIVE")
        db.execute("PRAGMA journal_mode = DELETE")
        db.execute("BEGIN EXCLUSIVE")
        db.execute("COMMIT")
        yield db


def keep_before_migrating(path: Path, key: FileKey | None, version: int) -> None:
    """Keep the file of that version as it is before its first step to a newer shape, under a name
    of its own, while nobody else can take the step. A new file has nothing to keep.
    """
    kept = before_migrating(path, version)
    if version and not kept.exists():
        with closing(drivers.connect(path, _WAIT_S, key)) as reader:
            copy(reader, kept, key)


def before_migrating(path: Path, version: int) -> Path:
    """The name under which a file is kept from before a step."""
    return path.with_name(f"{path.name}.before-step-{version + 1}")


def kept_steps(path: Path) -> tuple[Path, ...]:
    """The files that were kept from before a step."""
    return tuple(sorted(path.parent.glob(f"{path.name}.before-step-*")))


def other_copies(path: Path) -> tuple[Path, ...]:
    """All other files beside the records that may hold the same: kept before a restore, or left
    when something was killed."""
    beside_it = path.parent.glob(f"{path.name}.*")
    return tuple(sorted(f for f in beside_it if ".keys" not in f.name.removeprefix(path.name)))


def _by_sqlcipher(path: Path, key: FileKey | None) -> sqlite3.Connection:
    if key is not None:
        return drivers.connect(path, _WAIT_S, key)
    library = drivers.sqlcipher()
    return cast(
        sqlite3.Connection, library.connect(str(path), timeout=_WAIT_S, isolation_level=None)
    )


def _to_write(path: Path, key: FileKey | None) -> sqlite3.Connection:
    db = drivers.connect(path, _WAIT_S, key)
    db.execute("PRAGMA synchronous = EXTRA")
    db.execute("PRAGMA fullfsync = ON")
    db.execute("PRAGMA temp_store = MEMORY")
    return db


@contextmanager
def _new_file(target: Path) -> Iterator[Path]:
    """A file to fill that takes its name only when all of it is there and on the disk."""
    with explained(target):
        make_folder(target.parent)
        made = beside(target, "new")
        made.touch(0o600, exist_ok=False)
        try:
            yield made
            if target.exists():
                raise StoreError(
                    f"{target} is there already",
                    kept="It was left as it is",
                    do="Name a file that is not there yet",
                )
            made.rename(target)
            sync_folder(target.parent)
        finally:
            for left in made.parent.glob(f"{made.name}*"):
                left.unlink()


def _check_ours(db: sqlite3.Connection, path: Path) -> None:
    if db.execute("PRAGMA application_id").fetchone()[0] != APPLICATION_ID:
        raise StoreError(
            f"{path} is a file of another program",
            kept="It was left as it is",
            do="Name a backup that `voicelog backup` wrote",
        )
    if version_of(db) > len(MIGRATIONS):
        raise StoreError(
            f"{path} was made by a newer version of this program",
            kept="It was left as it is and all its records are in it",
            do="Install the newer version again",
        )


def _same(found: Examined, rows: dict[str, int], path: Path) -> Examined:
    if dict(found.rows) != rows:
        raise damaged(path, "the copy does not hold what was copied")
    return found
