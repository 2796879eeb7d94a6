"""The rows of the file: what is written into them and read back, inside a transaction of others."""

import sqlite3
from collections.abc import Iterable, Sequence
from datetime import UTC, datetime

from voicelog.records.entry import Entry
from voicelog.records.facts import KINDS, ClientFact
from voicelog.records.visit import Visit
from voicelog.store import trail
from voicelog.store.base import Clip


def put_visit(db: sqlite3.Connection, visit: Visit) -> None:
    """Write a visit that is new, or that has got its end."""
    body = visit.model_dump_json()
    there = db.execute("SELECT body FROM visit WHERE visit_id = ?", (visit.visit_id,)).fetchone()
    if there == (body,):
        return
    db.execute(
        "INSERT INTO visit (visit_id, client, started_at, body) VALUES (?, ?, ?, ?)"
        " ON CONFLICT (visit_id) DO UPDATE SET body = excluded.body",
        (visit.visit_id, visit.client, utc(visit.started_at), body),
    )
    if there is None:
        trail.add(db, f"visit/{visit.visit_id}", f"{visit.client} {utc(visit.started_at)}")
    if visit.ended_at is not None:
        trail.add(db, f"end/{visit.visit_id}", body)


def insert_version(db: sqlite3.Connection, entry: Entry, clips: Sequence[Clip] = ()) -> None:
    """Write a version of an entry, and the sound that led to it."""
    body = entry.model_dump_json()
    db.execute(
        "INSERT INTO entry_version (entry_id, version, visit_id, status, spoken_at, at, body)"
        " VALUES (?, ?, ?, ?, ?, ?, ?)",
        (
            entry.entry_id,
            entry.version,
            entry.visit_id,
            entry.status,
            utc(entry.spoken_at),
            utc(entry.at),
            body,
        ),
    )
    db.executemany(
        "INSERT INTO clip (entry_id, version, text, duration_s, flac) VALUES (?, ?, ?, ?, ?)",
        [(entry.entry_id, entry.version, c.text, c.duration_s, c.flac) for c in clips],
    )
    subject = f"version/{entry.entry_id}/{entry.version}"
    trail.add(db, subject, body, [clip.flac for clip in clips])


def insert_facts(db: sqlite3.Connection, facts: Iterable[ClientFact]) -> int:
    """Write the facts that are not on file yet; how many these were."""
    written = 0
    for fact in facts:
        kept = (fact.client, KINDS[type(fact)], fact.model_dump_json())
        row = db.execute(
            "INSERT INTO client_fact (client, kind, body) VALUES (?, ?, ?) ON CONFLICT DO NOTHING",
            kept,
        )
        if row.rowcount:
            trail.add(db, f"fact/{row.lastrowid}", " ".join(kept))
            written += 1
    return written


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


def utc(at: datetime) -> str:
    """A moment as text whose order is the order of time."""
    return at.astimezone(UTC).isoformat(timespec="microseconds")
