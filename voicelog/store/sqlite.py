"""Records in one SQLite file on this machine: what a call has written survives a power cut."""

import sqlite3
from collections import deque
from collections.abc import Iterator, Sequence
from contextlib import contextmanager, suppress
from datetime import UTC, datetime
from pathlib import Path

from pydantic import ValidationError

from voicelog.records.entry import Entry, standing, waiting
from voicelog.records.facts import KINDS, ClientFact, Fact
from voicelog.records.visit import Visit
from voicelog.store import rules
from voicelog.store.base import Clip
from voicelog.store.failures import damaged, explained
from voicelog.store.rules import Model
from voicelog.store.sqlite_file import open_file
from voicelog.store.transaction import atomic


class SqliteStore:
    """Keeps everything in the file at `path`; every method raises StoreError when it cannot.

    `wait_s` is how long a call waits for another program that is writing. One object serves one
    thread; several threads or programs may each open the same file.
    """

    def __init__(self, path: Path, wait_s: float = 5.0) -> None:
        self.path = path
        self._connection = open_file(path, wait_s)

    def open_visit(self, client: str, at: datetime) -> Visit:
        """Begin a visit. The id is the day of `at` and a running number."""
        with self._writing() as db:
            taken = (row[0] for row in db.execute("SELECT visit_id FROM visit"))
            visit = rules.new_visit(client, at, taken)
            db.execute(
                "INSERT INTO visit (visit_id, client, started_at, body) VALUES (?, ?, ?, ?)",
                (visit.visit_id, visit.client, _utc(visit.started_at), visit.model_dump_json()),
            )
        return visit

    def end_visit(self, visit_id: str, at: datetime) -> Visit:
        """End a visit; one that has ended already keeps its first end."""
        with self._writing() as db:
            visit = rules.ended(self.visit(visit_id), at)
            db.execute(
                "UPDATE visit SET body = ? WHERE visit_id = ?",
                (visit.model_dump_json(), visit_id),
            )
        return visit

    def visits(self, client: str | None = None) -> tuple[Visit, ...]:
        """All visits, oldest first, of one client or of all."""
        return self._read(
            Visit,
            "SELECT body FROM visit WHERE ?1 IS NULL OR client = ?1 ORDER BY started_at, rowid",
            client,
        )

    def visit(self, visit_id: str) -> Visit:
        """One visit. Raises StoreError when there is none of that id."""
        found = self._visit(visit_id)
        if found is None:
            raise rules.no_such_visit(visit_id)
        return found

    def append(self, entry: Entry, clips: Sequence[Clip] = ()) -> None:
        """Keep a version and the sound that led to it; see `Store.append`."""
        entry = rules.as_kept(entry)
        with self._writing() as db:
            history = self.history(entry.entry_id)
            if not rules.is_new(entry, history, self._visit(entry.visit_id)):
                return
            _insert_version(db, entry)
            if entry.status == "dropped":
                db.execute(
                    "DELETE FROM clip WHERE entry_id = ? AND version > ?",
                    (entry.entry_id, rules.last_confirmed(history)),
                )
            else:
                _insert_clips(db, entry, clips)
        if entry.status == "dropped":
            self._empty_log()

    def history(self, entry_id: str) -> tuple[Entry, ...]:
        """All versions of one entry, oldest first; empty when there is none."""
        return self._read(
            Entry, "SELECT body FROM entry_version WHERE entry_id = ? ORDER BY version", entry_id
        )

    def records(self, visit_id: str) -> tuple[Entry, ...]:
        """The standing (confirmed) version of each entry of a visit, in the order spoken."""
        return tuple(filter(None, map(standing, self._of_visit(visit_id))))

    def unconfirmed(self, visit_id: str) -> tuple[Entry, ...]:
        """The waiting version of each entry of a visit, in the order spoken."""
        return tuple(filter(None, map(waiting, self._of_visit(visit_id))))

    def clips(self, entry_id: str) -> tuple[Clip, ...]:
        """The sound kept with an entry, in the order spoken."""
        with explained(self.path):
            rows = self._connection.execute(
                "SELECT flac, text, duration_s FROM clip WHERE entry_id = ?"
                " ORDER BY version, clip_id",
                (entry_id,),
            )
            return tuple(Clip(*row) for row in rows)

    def add_facts(self, *facts: ClientFact) -> None:
        """Put facts about clients on file; see `Store.add_facts`."""
        rows = [(f.client, KINDS[type(f)], rules.as_kept(f).model_dump_json()) for f in facts]
        with self._writing() as db:
            db.executemany(
                "INSERT INTO client_fact (client, kind, body) VALUES (?, ?, ?)"
                " ON CONFLICT DO NOTHING",
                rows,
            )

    def facts(self, client: str, kind: type[Fact]) -> tuple[Fact, ...]:
        """All facts of one kind about one client, in the order they were added."""
        return self._read(
            kind,
            "SELECT body FROM client_fact WHERE client = ? AND kind = ? ORDER BY fact_id",
            client,
            KINDS[kind],
        )

    def check(self) -> None:
        """Go through the whole file and raise StoreError at the first sign of damage."""
        with explained(self.path):
            found = self._connection.execute("PRAGMA integrity_check(1)").fetchone()[0]
            astray = self._connection.execute("PRAGMA foreign_key_check").fetchall()
        if found != "ok" or astray:
            raise damaged(self.path, str(found) if found != "ok" else "parts of it are missing")
        for model, table in ((Visit, "visit"), (Entry, "entry_version")):
            deque(self._each(model, f"SELECT body FROM {table}"), maxlen=0)
        for shape, kind in KINDS.items():
            query = "SELECT body FROM client_fact WHERE kind = ?"
            deque(self._each(shape, query, kind), maxlen=0)

    def close(self) -> None:
        """Let go of the file. Closing twice does no harm."""
        with explained(self.path):
            self._connection.close()

    def _of_visit(self, visit_id: str) -> tuple[rules.History, ...]:
        return rules.histories(
            self._read(Entry, "SELECT body FROM entry_version WHERE visit_id = ?", visit_id)
        )

    def _visit(self, visit_id: str) -> Visit | None:
        found = self._read(Visit, "SELECT body FROM visit WHERE visit_id = ?", visit_id)
        return found[0] if found else None

    def _read(self, model: type[Model], query: str, *values: str | None) -> tuple[Model, ...]:
        return tuple(self._each(model, query, *values))

    def _each(self, model: type[Model], query: str, *values: str | None) -> Iterator[Model]:
        try:
            with explained(self.path):
                for (body,) in self._connection.execute(query, values):
                    yield model.model_validate_json(body)
        except ValidationError as error:
            name = model.__name__.lower()
            raise damaged(self.path, f"one {name} in it cannot be read") from error

    @contextmanager
    def _writing(self) -> Iterator[sqlite3.Connection]:
        with explained(self.path), atomic(self._connection):
            yield self._connection

    def _empty_log(self) -> None:
        """Take deleted sound out of the write-ahead log too, where its old pages would linger.

        By now the change is kept, so failing here is no failure of the call: closing the file
        empties the log as well.
        """
        with suppress(sqlite3.Error):
            self._connection.execute("PRAGMA wal_checkpoint(TRUNCATE)")


def _insert_version(db: sqlite3.Connection, entry: Entry) -> None:
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


def _insert_clips(db: sqlite3.Connection, entry: Entry, clips: Sequence[Clip]) -> None:
    db.executemany(
        "INSERT INTO clip (entry_id, version, text, duration_s, flac) VALUES (?, ?, ?, ?, ?)",
        [(entry.entry_id, entry.version, c.text, c.duration_s, c.flac) for c in clips],
    )


def _utc(at: datetime) -> str:
    """A moment as text whose order is the order of time."""
    return at.astimezone(UTC).isoformat(timespec="microseconds")
