"""The audit trail: whatever is kept becomes a link of a hash chain, so that a change from outside
shows, and what was changed is named.

A link is the SHA-256 (FIPS 180-4) of its number, the link before it and the digest of what was
kept, as canonical JSON (RFC 8785). A digest is salted, and the salt goes with what is removed on
purpose, so that the digest left behind says nothing; the removal itself becomes a link.

Whoever has the key of the file can make a whole new chain, or cut its end off: a last link noted
on paper or in a backup shows that too.
"""

import hashlib
import json
import secrets
import sqlite3
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

_BEFORE_THE_FIRST = bytes(32)
_SALT_BYTES = 16

TABLES = (
    """CREATE TABLE trail (
        number INTEGER PRIMARY KEY,
        subject TEXT UNIQUE,      -- what it stands for; NULL once that was removed on purpose
        salt BLOB,
        sounds TEXT,              -- SHA-256 of each clip kept with it, as JSON
        digest BLOB NOT NULL,
        link BLOB NOT NULL
    ) STRICT""",
    """CREATE TABLE removal (
        removal_id INTEGER PRIMARY KEY,
        body TEXT NOT NULL        -- what was removed, when and by whom, as JSON; nobody's records
    ) STRICT""",
    """CREATE VIEW kept (subject, body) AS
        SELECT 'visit/' || visit_id, client || ' ' || started_at FROM visit
        UNION ALL SELECT 'version/' || entry_id || '/' || version, body FROM entry_version
        UNION ALL SELECT 'end/' || visit_id, body FROM visit
            WHERE json_extract(body, '$.ended_at') IS NOT NULL
        UNION ALL SELECT 'fact/' || fact_id, client || ' ' || kind || ' ' || body FROM client_fact
        UNION ALL SELECT 'removal/' || removal_id, body FROM removal""",
)

# Columns that the program goes by must say the same as the text beside them, which is linked.
_AT_ODDS = """
    SELECT 'version/' || entry_id || '/' || version FROM entry_version
        WHERE json_extract(body, '$.entry_id') IS NOT entry_id
        OR json_extract(body, '$.version') IS NOT version
        OR json_extract(body, '$.visit_id') IS NOT visit_id
        OR json_extract(body, '$.status') IS NOT status
    UNION ALL SELECT 'visit/' || visit_id FROM visit
        WHERE json_extract(body, '$.visit_id') IS NOT visit_id
        OR json_extract(body, '$.client') IS NOT client
    LIMIT 1"""


class Broken(Exception):
    """What in the trail does not fit; the text names it."""


@dataclass(frozen=True, slots=True)
class End:
    """How many links the trail has, and the last one, in hexadecimal."""

    links: int
    last: str


def canonical(parts: Sequence[str | int]) -> bytes:
    """A list of texts and whole numbers as RFC 8785 writes it."""
    return json.dumps(parts, ensure_ascii=False, separators=(",", ":")).encode()


def digest_of(subject: str, salt: bytes, body: str, sounds: Iterable[str] = ()) -> bytes:
    """The digest of one thing kept; `sounds` are the SHA-256 of its clips, in hexadecimal."""
    return hashlib.sha256(canonical([subject, salt.hex(), body, *sounds])).digest()


def link_of(number: int, before: bytes, digest: bytes) -> bytes:
    """The link that follows `before`."""
    return hashlib.sha256(canonical([number, before.hex(), digest.hex()])).digest()


def add(db: sqlite3.Connection, subject: str, body: str, sounds: Iterable[bytes] = ()) -> None:
    """Link what the same transaction writes; `sounds` are its clips as they are kept."""
    number, before = _last(db)
    salt = secrets.token_bytes(_SALT_BYTES)
    sums = [hashlib.sha256(sound).hexdigest() for sound in sounds]
    digest = digest_of(subject, salt, body, sums)
    db.execute(
        "INSERT INTO trail (number, subject, salt, sounds, digest, link) VALUES (?, ?, ?, ?, ?, ?)",
        (number + 1, subject, salt, json.dumps(sums), digest, link_of(number + 1, before, digest)),
    )


def fill(db: sqlite3.Connection) -> None:
    """Link everything that was kept before there was a trail."""
    for subject, body in db.execute("SELECT subject, body FROM kept"):
        sounds = db.execute(
            "SELECT flac FROM clip WHERE 'version/' || entry_id || '/' || version = ?"
            " AND entry_id = ? ORDER BY clip_id",
            (subject, subject.removeprefix("version/").rpartition("/")[0]),
        )
        add(db, subject, body, (flac for (flac,) in sounds.fetchall()))


def end(db: sqlite3.Connection) -> End:
    """Where the trail stands now."""
    number, link = _last(db)
    return End(number, "" if number == 0 else link.hex())


def has_link(db: sqlite3.Connection, link: str) -> bool:
    """Whether a link noted earlier, or one that begins so, in hexadecimal, still stands."""
    found = db.execute(
        "SELECT 1 FROM trail WHERE substr(hex(link), 1, length(?1)) = upper(?1)", (link,)
    )
    return found.fetchone() is not None


def verify(db: sqlite3.Connection) -> End:
    """Go along the whole trail. Raises Broken at the first thing that does not fit."""
    _check_links(db)
    _check_content(db)
    _check_sounds(db)
    at_odds = db.execute(_AT_ODDS).fetchone()
    if at_odds:
        raise Broken(f"{_named(at_odds[0])} says one thing in its text and another beside it")
    return end(db)


def _last(db: sqlite3.Connection) -> tuple[int, bytes]:
    found = db.execute("SELECT number, link FROM trail ORDER BY number DESC LIMIT 1").fetchone()
    return found or (0, _BEFORE_THE_FIRST)


def _check_links(db: sqlite3.Connection) -> None:
    before = _BEFORE_THE_FIRST
    removed = {
        number
        for (links,) in db.execute("SELECT json_extract(body, '$.links') FROM removal")
        for number in json.loads(links or "[]")
    }
    rows = db.execute("SELECT number, subject IS NULL, digest, link FROM trail ORDER BY number")
    for number, (at, is_removed, digest, link) in enumerate(rows, start=1):
        if at != number:
            raise Broken(f"link {number} of the trail is missing")
        if link != link_of(number, before, digest):
            raise Broken(f"link {number} of the trail does not follow the one before it")
        if is_removed and number not in removed:
            raise Broken(f"what link {number} stood for is gone, and no removal tells of it")
        before = link


def _check_content(db: sqlite3.Connection) -> None:
    gone = db.execute(
        "SELECT subject FROM trail WHERE subject IS NOT NULL"
        " AND subject NOT IN (SELECT subject FROM kept) LIMIT 1"
    ).fetchone()
    if gone:
        raise Broken(f"{_named(gone[0])} is gone, and no removal tells of it")
    rows = db.execute(
        "SELECT kept.subject, body, salt, sounds, digest FROM kept LEFT JOIN trail USING (subject)"
    )
    for subject, body, salt, sounds, digest in rows:
        if digest is None:
            raise Broken(f"{_named(subject)} was put in from outside")
        if digest != digest_of(subject, salt, body, json.loads(sounds)):
            raise Broken(f"{_named(subject)} has been changed since it was kept")


def _check_sounds(db: sqlite3.Connection) -> None:
    rows = db.execute(
        "SELECT subject, sounds, flac FROM clip"
        " LEFT JOIN trail ON subject = 'version/' || entry_id || '/' || version"
    )
    for subject, sounds, flac in rows:
        if hashlib.sha256(flac).hexdigest() not in json.loads(sounds or "[]"):
            raise Broken(f"the sound of {_named(subject or '')} is not what was kept with it")


def _named(subject: str) -> str:
    """What a subject stands for, in words."""
    kind, _, name = subject.partition("/")
    if kind == "version":
        entry_id, _, version = name.rpartition("/")
        return f"version {version} of entry {entry_id}"
    words = {"visit": "visit", "end": "the end of visit", "fact": "fact on file"}
    return f"{words.get(kind, kind)} {name}"
