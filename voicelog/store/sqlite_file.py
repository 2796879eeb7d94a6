"""Opening the file of records: ours or not, readable by nobody else, settings that last."""

import os
import sqlite3
import time
from contextlib import closing, suppress
from functools import partial
from pathlib import Path

from voicelog.errors import StoreError
from voicelog.store import drivers
from voicelog.store.copies import keep_before_migrating
from voicelog.store.drivers import FileKey
from voicelog.store.failures import damaged, explained, read_only, refuse_empty
from voicelog.store.migrations import APPLICATION_ID, MIGRATIONS, migrate, version_of
from voicelog.store.own_files import beside, link_new, make_folder, sync_folder

_OLDEST_SQLITE = (3, 37)
"""The first with STRICT tables (https://sqlite.org/stricttables.html)."""

# Write-ahead log: one sync for each commit, and readers never wait for the writer. In this mode
# synchronous FULL or above syncs the log before a commit returns, so it survives a power cut;
# NORMAL would not. EXTRA equals FULL here, and keeps the promise as well where the file system
# has no shared memory and SQLite stays with a rollback journal. fullfsync makes macOS push the
# disk's own cache out. https://sqlite.org/pragma.html#pragma_synchronous, https://sqlite.org/wal.html
_SETTINGS = (
    "PRAGMA synchronous = EXTRA",
    "PRAGMA fullfsync = ON",
    "PRAGMA checkpoint_fullfsync = ON",
    "PRAGMA foreign_keys = ON",
    "PRAGMA secure_delete = ON",
    "PRAGMA cell_size_check = ON",
    # What SQLite sorts or copies on the side stays in memory (https://sqlite.org/tempfiles.html).
    "PRAGMA temp_store = MEMORY",
)


def open_file(path: Path, wait_s: float, key: FileKey | None = None) -> sqlite3.Connection:
    """Open the file, making it, its folder and its tables when they are not there yet.

    `wait_s` is how long to wait for another program that is writing; `key` opens an encrypted
    file, and makes a new one so. Raises StoreError.
    """
    if key is None and sqlite3.sqlite_version_info < _OLDEST_SQLITE:
        raise StoreError(
            f"This Python carries SQLite {sqlite3.sqlite_version}, which is too old",
            do="Use a Python with SQLite 3.37 or newer",
        )
    with explained(path):
        if path.is_dir():
            raise StoreError(f"{path} is a folder", do="Name a file for the records")
        _make(path, key)
        refuse_empty(path)
        if not _may_write(path):
            raise read_only(path)
        connection = drivers.connect(path, wait_s, key)
        try:
            _check_ours(connection, path)
            _close_to_others(path)
            _keep_a_log(connection, wait_s)
            _settle(connection)
            migrate(connection, first=partial(keep_before_migrating, path, key))
            _try_to_write(connection)
        except BaseException:
            connection.close()
            raise
    return connection


def open_to_look(path: Path, wait_s: float, key: FileKey | None = None) -> sqlite3.Connection:
    """The same to look into a file that is there, also where nothing can be written.

    Without its log nobody has the file open, and SQLite need not make one to share it. Raises
    StoreError, also for a file of an earlier version that would have to be written.
    """
    if _may_write(path) and _may_write(path.parent):
        return open_file(path, wait_s, key)
    with explained(path):
        refuse_empty(path)
        log = path.with_name(f"{path.name}-wal")
        how = "mode=ro" if log.exists() else "immutable=1"
        connection = drivers.connect(path, wait_s, key, how=how)
        try:
            _check_ours(connection, path)
            if version_of(connection) < len(MIGRATIONS):
                raise read_only(path)
        except BaseException:
            connection.close()
            raise
    return connection


def _keep_a_log(connection: sqlite3.Connection, wait_s: float) -> None:
    """Switch to the write-ahead log, with the patience that SQLite does not have here.

    The switch asks for more while it already reads the file, where SQLite never waits for another
    program but fails at once, lest the two wait for each other
    (https://sqlite.org/c3ref/busy_handler.html).
    """
    deadline_s = time.monotonic() + wait_s
    while True:
        try:
            connection.execute("PRAGMA journal_mode = WAL")
            return
        except drivers.failures() as error:
            busy = getattr(error, "sqlite_errorcode", 0) & 0xFF == sqlite3.SQLITE_BUSY
            if not busy or time.monotonic() >= deadline_s:
                raise
            time.sleep(0.01)


def _try_to_write(connection: sqlite3.Connection) -> None:
    """Find out now, and not at the first record, that the file is locked or read-only after all.

    SQLite begins a transaction even on a file it cannot write. What is written here is undone, so
    it reaches no disk and succeeds on a full one.
    """
    connection.execute("BEGIN IMMEDIATE")
    try:
        connection.execute(f"PRAGMA user_version = {version_of(connection)}")
    finally:
        connection.rollback()


def _settle(connection: sqlite3.Connection) -> None:
    for setting in _SETTINGS:
        connection.execute(setting)


def _make(path: Path, key: FileKey | None) -> None:
    """Make the file and its folder, closed to others from the first moment.

    It takes its name only when its tables are in it and on the disk, whoever else makes it at the
    same time. SQLite gives its log the same mode as the file, so the file is made before SQLite
    sees it.
    """
    make_folder(path.parent)
    if path.exists():
        return
    made = beside(path, "new")
    made.touch(0o600, exist_ok=False)
    try:
        with closing(drivers.connect(made, 0, key)) as connection:
            _settle(connection)
            migrate(connection)
        link_new(made, path)
        sync_folder(path.parent)
    finally:
        for left in made.parent.glob(f"{made.name}*"):
            left.unlink()


def _may_write(path: Path) -> bool:
    """Asked without opening the file: closing it again would take away the locks that another
    store in this process has on it (https://sqlite.org/howtocorrupt.html, section 2.2)."""
    return os.access(path, os.W_OK, effective_ids=os.access in os.supports_effective_ids)


def _close_to_others(path: Path) -> None:
    """Take the rights of others away; where the file is somebody else's, that is up to them."""
    mode = path.stat().st_mode
    if os.name == "posix" and mode & 0o077:
        with suppress(PermissionError):
            path.chmod(mode & 0o700)


def _check_ours(connection: sqlite3.Connection, path: Path) -> None:
    """Refuse, before anything is changed, a file of another program or of a newer version."""
    mark, version = connection.execute(
        "SELECT application_id, user_version FROM pragma_application_id, pragma_user_version"
    ).fetchone()
    if mark != APPLICATION_ID:
        raise StoreError(
            f"{path} is a file of another program",
            kept="It was left as it is",
            do="Name another file for the records",
        )
    if version < 0:
        raise damaged(path, "its version makes no sense")
    if version > len(MIGRATIONS):
        raise StoreError(
            f"The records file {path} was made by a newer version of this program",
            kept="It was left as it is and all its records are in it",
            do="Install the newer version again",
        )
