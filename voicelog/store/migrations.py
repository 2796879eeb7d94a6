"""The shape of the file, as the ordered steps that lead to it.

A released step is never changed: a new shape is a new step at the end. The number of steps taken
stands in the file itself (`user_version`), written in the same transaction as the step.
"""

import sqlite3
from collections.abc import Callable
from dataclasses import dataclass

from voicelog.store import search, trail
from voicelog.store.transaction import atomic

APPLICATION_ID = int.from_bytes(b"vlog")
"""Marks the file as ours, in the header field that SQLite's file format has for this."""


@dataclass(frozen=True, slots=True)
class Migration:
    """One step: what it is for, its statements, and what SQL alone cannot do after them."""

    name: str
    statements: tuple[str, ...]
    then: Callable[[sqlite3.Connection], None] | None = None


_FIRST = Migration(
    "visits, versions of entries, and the sound beside them",
    (
        f"PRAGMA application_id = {APPLICATION_ID}",
        """CREATE TABLE visit (
            visit_id TEXT PRIMARY KEY,
            client TEXT NOT NULL,
            started_at TEXT NOT NULL, -- ISO 8601, UTC
            body TEXT NOT NULL        -- the whole visit as JSON
        ) STRICT""",
        "CREATE INDEX visit_by_client ON visit (client, started_at)",
        """CREATE TABLE entry_version (
            entry_id TEXT NOT NULL,
            version INTEGER NOT NULL CHECK (version >= 1),
            visit_id TEXT NOT NULL REFERENCES visit,
            status TEXT NOT NULL
                CHECK (status IN ('unconfirmed', 'confirmed', 'dropped', 'withdrawn')),
            spoken_at TEXT NOT NULL,  -- ISO 8601, UTC
            at TEXT NOT NULL,         -- ISO 8601, UTC
            body TEXT NOT NULL,       -- the whole version as JSON
            PRIMARY KEY (entry_id, version)
        ) STRICT""",
        "CREATE INDEX entry_version_by_visit ON entry_version (visit_id, spoken_at)",
        """CREATE TRIGGER entry_version_never_changes BEFORE UPDATE ON entry_version
            BEGIN SELECT RAISE(ABORT, 'a version of an entry never changes'); END""",
        """CREATE TABLE clip (
            clip_id INTEGER PRIMARY KEY,
            entry_id TEXT NOT NULL,
            version INTEGER NOT NULL,
            text TEXT NOT NULL,
            duration_s REAL NOT NULL,
            flac BLOB NOT NULL,
            FOREIGN KEY (entry_id, version) REFERENCES entry_version
        ) STRICT""",
        "CREATE INDEX clip_by_entry ON clip (entry_id, version)",
    ),
)

_FACTS = Migration(
    "what is on file about a client beside the visits: safety screen and companion scales",
    (
        """CREATE TABLE client_fact (
            fact_id INTEGER PRIMARY KEY,
            client TEXT NOT NULL,
            kind TEXT NOT NULL CHECK (kind IN ('answer', 'clearance', 'function', 'rating')),
            body TEXT NOT NULL,       -- the whole fact as JSON
            UNIQUE (client, kind, body)
        ) STRICT""",
        """CREATE TRIGGER client_fact_never_changes BEFORE UPDATE ON client_fact
            BEGIN SELECT RAISE(ABORT, 'a fact on file never changes'); END""",
    ),
)

_TRAIL = Migration(
    "the audit trail, and the words to find records by",
    (*trail.TABLES, *search.TABLES),
    trail.fill,
)

MIGRATIONS: tuple[Migration, ...] = (_FIRST, _FACTS, _TRAIL)


def version_of(connection: sqlite3.Connection) -> int:
    """How many steps the file has taken."""
    return int(connection.execute("PRAGMA user_version").fetchone()[0])


def migrate(
    connection: sqlite3.Connection,
    migrations: tuple[Migration, ...] = MIGRATIONS,
    first: Callable[[int], None] = lambda version: None,
) -> None:
    """Take the steps the file has not taken yet, all or none.

    `first` is done before them with the version of the file, while nobody else can take one: a file
    between two steps is never seen.
    """
    if version_of(connection) >= len(migrations):
        return
    with atomic(connection):
        version = version_of(connection)  # again, now that nobody else can take a step
        if version < len(migrations):
            first(version)
        for done in range(version, len(migrations)):
            for statement in migrations[done].statements:
                connection.execute(statement)
            fill = migrations[done].then
            if fill is not None:
                fill(connection)
            connection.execute(f"PRAGMA user_version = {done + 1}")
