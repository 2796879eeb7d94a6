"""The rows of the file: what is written into them and read back, inside a transaction of others."""

import sqlite3
from collections.abc import Iterable, Sequence
from datetime import UTC, datetime

from voicelog.records.entry import Entry
from voicelog.records.facts import KINDS, ClientFact
from voicelog.records.visit import Visit
from voicelog.store.base import Clip


def put_visit(db: sqlite3.Connection, visit: Visit) -> None:
    """Write a visit that is new, or that has got its end."""
    db.execute(
        "INSERT INTO visit (visit_id, client, started_at, body) VALUES (?, ?, ?, ?)"
        " ON CONFLICT (visit_id) DO UPDATE SET body = excluded.body",
        (visit.visit_id, visit.client, _utc(visit.started_at), visit.model_dump_json()),
    )


def insert_version(db: sqlite3.Connection, entry: Entry) -> None:
    """Write a version of an entry."""
    db.execute(
        "INSERT INTO entry_version (entry_id, version, visit_id, status, spoken_at, at, body)"
        " VALUES (?, ?, ?, ?, ?, ?, ?)",
        (
            entry.entry_id,
            entry.version,
            entry.visit_id,
            entry.status,
            _utc(entry.spoken_at),
            _utc(entry.at),
            entry.model_dump_json(),
        ),
    )


def insert_clips(db: sqlite3.Connection, entry: Entry, clips: Sequence[Clip]) -> None:
    """Write the sound that led to a version."""
    db.executemany(
        "INSERT INTO clip (entry_id, version, text, duration_s, flac) VALUES (?, ?, ?, ?, ?)",
        [(entry.entry_id, entry.version, c.text, c.duration_s, c.flac) for c in clips],
    )


def insert_facts(db: sqlite3.Connection, facts: Iterable[ClientFact]) -> int:
    """Write the facts that are not on file yet; how many these were."""
    return sum(
        db.execute(
            "INSERT INTO client_fact (client, kind, body) VALUES (?, ?, ?) ON CONFLICT DO NOTHING",
            (fact.client, KINDS[type(fact)], fact.model_dump_json()),
        ).rowcount
        for fact in facts
    )


def clips_of(db: sqlite3.Connection, visit_id: str) -> dict[tuple[str, int], tuple[Clip, ...]]:
    """The sound of a whole visit, by entry id and version, in the order spoken."""
    rows = db.execute(
        "SELECT entry_id, version, flac, clip.text, duration_s FROM clip"
        " JOIN entry_version USING (entry_id, version) WHERE visit_id = ? ORDER BY clip_id",
        (visit_id,),
    )
    found: dict[tuple[str, int], tuple[Clip, ...]] = {}
    for entry_id, version, flac, text, duration_s in rows:
        key = (entry_id, version)
        found[key] = (*found.get(key, ()), Clip(flac, text, duration_s))
    return found


def _utc(at: datetime) -> str:
    """A moment as text whose order is the order of time."""
    return at.astimezone(UTC).isoformat(timespec="microseconds")
