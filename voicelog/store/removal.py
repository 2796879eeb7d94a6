"""What is removed on purpose: a client as if never there, or sound that is older than wanted.

The removal is noted in the audit trail without anything of whom it concerned.
"""

import json
import sqlite3
from dataclasses import dataclass
from datetime import datetime

from voicelog.store import trail
from voicelog.store.sqlite_rows import utc

_ENTRIES = "SELECT entry_id FROM entry_version JOIN visit USING (visit_id) WHERE client = ?1"
_LINKS = """SELECT number FROM trail WHERE subject IN (
    SELECT 'version/' || entry_id || '/' || version
        FROM entry_version JOIN visit USING (visit_id) WHERE client = ?1
    UNION ALL SELECT 'visit/' || visit_id FROM visit WHERE client = ?1
    UNION ALL SELECT 'end/' || visit_id FROM visit WHERE client = ?1
    UNION ALL SELECT 'fact/' || fact_id FROM client_fact WHERE client = ?1
) ORDER BY number"""


@dataclass(frozen=True, slots=True)
class Hand:
    """Who removes something, and when."""

    by: str
    at: datetime


@dataclass(frozen=True, slots=True)
class Removed:
    """How much was removed."""

    visits: int = 0
    versions: int = 0
    facts: int = 0
    clips: int = 0


def remove_client(db: sqlite3.Connection, client: str, hand: Hand) -> Removed:
    """Remove all that is kept of a client, in the transaction of the caller."""
    links = [number for (number,) in db.execute(_LINKS, (client,))]
    if not links:
        return Removed()
    clips = db.execute(f"DELETE FROM clip WHERE entry_id IN ({_ENTRIES})", (client,)).rowcount
    db.execute(f"DELETE FROM record_words WHERE entry_id IN ({_ENTRIES})", (client,))
    versions = db.execute(
        "DELETE FROM entry_version WHERE visit_id IN (SELECT visit_id FROM visit WHERE client = ?)",
        (client,),
    ).rowcount
    visits = db.execute("DELETE FROM visit WHERE client = ?", (client,)).rowcount
    facts = db.execute("DELETE FROM client_fact WHERE client = ?", (client,)).rowcount
    db.executemany(
        "UPDATE trail SET subject = NULL, salt = NULL, sounds = NULL WHERE number = ?",
        [(number,) for number in links],
    )
    _note(db, hand, what="a client", links=links)
    return Removed(visits, versions, facts, clips)


def remove_sound(db: sqlite3.Connection, before: datetime, hand: Hand) -> Removed:
    """Remove all sound that was spoken before `before`, in the transaction of the caller. A record
    made at the desk holds a copy of what was spoken long ago."""
    clips = db.execute(
        "DELETE FROM clip WHERE EXISTS (SELECT 1 FROM entry_version v WHERE"
        " v.entry_id = clip.entry_id AND v.version = clip.version AND v.spoken_at < ?)",
        (utc(before),),
    ).rowcount
    if clips:
        _note(db, hand, what="sound", before=utc(before), clips=clips)
    return Removed(clips=clips)


def _note(db: sqlite3.Connection, hand: Hand, **facts: object) -> None:
    body = json.dumps({**facts, "by": hand.by, "at": utc(hand.at)})
    row = db.execute("INSERT INTO removal (body) VALUES (?)", (body,)).lastrowid
    trail.add(db, f"removal/{row}", body)
