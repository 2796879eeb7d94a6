"""Going through a whole file: its pages, its rows, and its audit trail."""

import sqlite3
import time
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from pydantic import BaseModel, ValidationError

from voicelog.errors import StoreError
from voicelog.records.entry import Entry
from voicelog.records.facts import KINDS
from voicelog.records.visit import Visit
from voicelog.store import trail
from voicelog.store.failures import damaged, explained

GLANCE_S = 0.5
_TABLES = ("visit", "entry_version", "clip", "client_fact", "trail", "removal")


@dataclass(frozen=True, slots=True)
class Examined:
    """A file that is whole: the rows of each table, and the end of its audit trail."""

    rows: Mapping[str, int]
    trail: trail.End


def examine(db: sqlite3.Connection, path: Path, *, encrypted: bool) -> Examined:
    """Go through the whole file. Raises StoreError at the first sign of damage or tampering.

    A file from before the audit trail is examined without one.
    """
    with explained(path):
        if encrypted:
            _check_seals(db, path)
        found = db.execute("PRAGMA integrity_check(1)").fetchone()[0]
        astray = db.execute("PRAGMA foreign_key_check").fetchall()
        if found != "ok" or astray:
            raise damaged(path, str(found) if found != "ok" else "parts of it are missing")
        tables = _tables(db)
        _check_rows(db, path, tables)
        end = _trail(db, path) if "trail" in tables else trail.End(0, "")
        return Examined({name: _count(db, name) for name in tables}, end)


def glance(db: sqlite3.Connection, path: Path) -> None:
    """Look for damage as far as `GLANCE_S` goes, before a visit begins: all of an encrypted file of
    114 MB took about 1 s. Raises StoreError at the first sign of it."""
    until_s = time.monotonic() + GLANCE_S
    db.set_progress_handler(lambda: time.monotonic() > until_s, 1000)
    try:
        with explained(path):
            found = str(db.execute("PRAGMA quick_check(1)").fetchone()[0])
    except StoreError as error:
        if getattr(error.__cause__, "sqlite_errorcode", 0) != sqlite3.SQLITE_INTERRUPT:
            raise
        return
    finally:
        db.set_progress_handler(None, 0)
    if found != "ok":
        raise damaged(path, " ".join(found.split()))


def rows_of(db: sqlite3.Connection) -> dict[str, int]:
    """How many rows each table has."""
    return {name: _count(db, name) for name in _tables(db)}


def _tables(db: sqlite3.Connection) -> tuple[str, ...]:
    there = {name for (name,) in db.execute("SELECT name FROM sqlite_schema WHERE type = 'table'")}
    return tuple(name for name in _TABLES if name in there)


def _count(db: sqlite3.Connection, table: str) -> int:
    return int(db.execute(f"SELECT count(*) FROM {table}").fetchone()[0])


def _check_seals(db: sqlite3.Connection, path: Path) -> None:
    """Each page's HMAC (https://www.zetetic.net/sqlcipher/sqlcipher-api/#cipher_integrity_check)."""
    db.execute("PRAGMA wal_checkpoint(PASSIVE)")
    broken = db.execute("PRAGMA cipher_integrity_check").fetchall()
    if broken:
        raise damaged(path, str(broken[0][0]))


def _check_rows(db: sqlite3.Connection, path: Path, tables: tuple[str, ...]) -> None:
    for model, table in ((Visit, "visit"), (Entry, "entry_version")):
        for (body,) in db.execute(f"SELECT body FROM {table}"):
            _validate(model, body, path)
    if "client_fact" in tables:
        shapes = {kind: shape for shape, kind in KINDS.items()}
        for kind, body in db.execute("SELECT kind, body FROM client_fact"):
            if kind not in shapes:
                raise damaged(path, "one fact in it is of no kind")
            _validate(shapes[kind], body, path)


def _validate(model: type[BaseModel], body: str, path: Path) -> None:
    try:
        model.model_validate_json(body)
    except ValidationError as error:
        name = model.__name__.lower()
        raise damaged(path, f"one {name} in it cannot be read") from error


def _trail(db: sqlite3.Connection, path: Path) -> trail.End:
    try:
        return trail.verify(db)
    except trail.Broken as broken:
        raise StoreError(
            f"The records file {path} has been changed from outside: {broken}",
            kept="This check changed nothing",
            do="Make a copy of the file, and compare it with the newest backup",
        ) from broken
