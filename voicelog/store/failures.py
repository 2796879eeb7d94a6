"""What SQLite and the system report, in words for the person whose records they are."""

import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from json import JSONDecodeError
from pathlib import Path

from voicelog.errors import StoreError
from voicelog.store import drivers
from voicelog.store.keys import keys_path

_UNTOUCHED = "Nothing was changed, and what was saved before is still there"
_LEFT = "Nothing was changed"
"""All that can be promised of a file that is damaged, or on a disk that fails."""

_BUSY = (
    "is in use by another program and did not come free in time",
    "Close the other program, or wait a moment, and try again",
)
_READ_ONLY = (
    "cannot be written: the file or its folder is read-only, or belongs to somebody else",
    "Give yourself the right to write there, or choose another place for the records",
)
_RESTORE = (
    "Leave the file as it is, make a copy of it, and restore the newest backup with:"
    " voicelog restore --anyway FILE"
)
_DAMAGED = "is damaged, or is no file of records at all", _RESTORE
_TEXTS = {
    sqlite3.SQLITE_BUSY: _BUSY,
    sqlite3.SQLITE_LOCKED: _BUSY,
    sqlite3.SQLITE_PROTOCOL: _BUSY,
    sqlite3.SQLITE_READONLY: _READ_ONLY,
    sqlite3.SQLITE_CANTOPEN: _READ_ONLY,
    sqlite3.SQLITE_PERM: _READ_ONLY,
    sqlite3.SQLITE_CORRUPT: _DAMAGED,
    sqlite3.SQLITE_NOTADB: (
        "is no file of records, or is encrypted and the file with its keys beside it is missing"
        " or of other records",
        _RESTORE,
    ),
    sqlite3.SQLITE_FULL: (
        "cannot grow: the disk is full",
        "Free some space on the disk and try again",
    ),
    sqlite3.SQLITE_IOERR: (
        "could not be read or written: the disk reports a fault, or is full",
        "Check that the disk is connected and has space, then try again",
    ),
}
_FULL = "database or disk is full"
_UNSURE = (sqlite3.SQLITE_CORRUPT, sqlite3.SQLITE_NOTADB, sqlite3.SQLITE_IOERR)


@contextmanager
def explained(path: Path) -> Iterator[None]:
    """Turn the errors of SQLite and of the file system into StoreError, keeping the cause."""
    try:
        yield
    except drivers.failures() as error:
        raise _from_sqlite(error, path) from error
    except (UnicodeDecodeError, JSONDecodeError) as error:  # text that was never written so
        raise damaged(path, str(error)) from error
    except OSError as error:
        raise StoreError(
            f"The records file {path} cannot be used: {error.strerror or error}",
            kept="Nothing was written",
            do="Check the place of the records and your rights there",
        ) from error


def _from_sqlite(error: Exception, path: Path) -> StoreError:
    # The low byte is the kind of failure, the rest its detail: https://sqlite.org/rescode.html
    kind = getattr(error, "sqlite_errorcode", 0) & 0xFF
    if str(error) == _FULL:  # a copy under another key hands on the words only
        kind = sqlite3.SQLITE_FULL
    what, do = _TEXTS.get(
        kind, (f"could not be used: {error}", "Start again; if it stays so, restore a backup")
    )
    kept = _LEFT if kind in _UNSURE else _UNTOUCHED
    return StoreError(f"The records file {path} {what}", kept=kept, do=do)


def refuse_missing(path: Path) -> None:
    """Raise StoreError where there is no file to look into, and opening would make one."""
    with explained(path):
        if not path.exists():
            if keys_path(path).exists():
                raise no_file_of(path)
            raise StoreError(
                f"There are no records in {path.parent}",
                kept="Nothing was made there",
                do=put_back(path)
                or "Name the folder they are in with --data, or begin with: voicelog setup",
            )


def no_file_of(path: Path) -> StoreError:
    """The error for records that are gone from beside their keys."""
    return StoreError(
        f"There is no records file {path}, only its keys",
        kept="They were left as they are",
        do=put_back(path)
        or "If there were records, put the file back where it was, or restore the newest backup"
        " with: voicelog restore FILE",
    )


def put_back(path: Path) -> str:
    """What to do where a restore was killed after it had put the records aside; else nothing."""
    aside = sorted(path.parent.glob(f"{path.name}.before-restore-*[0-9]"))
    if path.exists() or not aside:
        return ""
    return (
        f"A restore broke off, and what was there before is kept in {aside[-1]}: run it again with"
        f" --anyway, or give that file, and its keys if there are any, the name {path.name} again"
    )


def traces_left(path: Path) -> StoreError:
    """The error for a log that could not be emptied after something was removed."""
    return StoreError(
        f"The log of {path} may still hold what was removed: another program has the records open",
        kept="The records themselves are removed",
        do="Close the other program; the log is emptied when the last one closes",
    )


def read_only(path: Path) -> StoreError:
    """The error for a file that may only be looked at."""
    what, do = _READ_ONLY
    return StoreError(f"The records file {path} {what}", kept=_UNTOUCHED, do=do)


def damaged(path: Path, detail: str) -> StoreError:
    """The error for content that cannot be what was once written."""
    what, do = _DAMAGED
    return StoreError(f"The records file {path} {what}: {detail}", kept=_LEFT, do=do)


def refuse_empty(path: Path) -> None:
    """Raise StoreError for a file with nothing in it: ours take their name with all their tables,
    so that something else emptied it. Raises OSError."""
    if not path.stat().st_size:
        raise damaged(path, "it is empty")
