"""Records in one SQLite file on this machine: what a call has written survives a power cut."""

import sqlite3
from collections.abc import Iterable, Iterator, Sequence
from contextlib import closing, contextmanager, suppress
from datetime import datetime
from itertools import islice
from pathlib import Path

from pydantic import ValidationError

from voicelog.records.entry import Entry, standing, waiting
from voicelog.records.facts import KINDS, ClientFact, Fact
from voicelog.records.visit import Visit
from voicelog.store import copies, drivers, removal, rules, search, trail
from voicelog.store.base import Clip, Parcel, Taken
from voicelog.store.drivers import FileKey
from voicelog.store.examine import Examined, examine, glance
from voicelog.store.failures import damaged, explained, traces_left
from voicelog.store.removal import Hand, Removed
from voicelog.store.rules import Model
from voicelog.store.sqlite_file import open_file, open_to_look
from voicelog.store.sqlite_rows import clips_of, insert_facts, insert_version, put_visit
from voicelog.store.transaction import atomic


class SqliteStore:
    """Keeps everything in the file at `path`; every method raises StoreError when it cannot.

    `wait_s` is how long a call waits for another program that is writing; with a `key` the file
    is encrypted; `to_look` opens also what cannot be written. One object serves one thread; several
    threads or programs may each open the same file.
    """

    def __init__(
        self, path: Path, wait_s: float = 5.0, key: FileKey | None = None, *, to_look: bool = False
    ) -> None:
        self.path, self.key = path, key
        self._connection = (open_to_look if to_look else open_file)(path, wait_s, key)

    def open_visit(self, client: str, at: datetime) -> Visit:
        """Begin a visit. The id is the day of `at` and a running number."""
        with self._writing() as db:
            taken = (row[0] for row in db.execute("SELECT visit_id FROM visit"))
            visit = rules.new_visit(client, at, taken)
            put_visit(db, visit)
        return visit

    def end_visit(self, visit_id: str, at: datetime) -> Visit:
        """End a visit; one that has ended already keeps its first end."""
        with self._writing() as db:
            visit = rules.ended(self.visit(visit_id), at)
            put_visit(db, visit)
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
        with self._writing() as db:
            is_new = self._append(db, rules.as_kept(entry), clips)
        if is_new and entry.status == "dropped":
            self._empty_log()

    def _append(self, db: sqlite3.Connection, entry: Entry, clips: Sequence[Clip]) -> bool:
        history = self.history(entry.entry_id)
        if not rules.is_new(entry, history, self._visit(entry.visit_id)):
            return False
        insert_version(db, entry, () if entry.status == "dropped" else clips)
        if entry.status == "dropped":
            db.execute(
                "DELETE FROM clip WHERE entry_id = ? AND version > ?",
                (entry.entry_id, rules.last_confirmed(history)),
            )
        return True

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
        with self._writing() as db:
            insert_facts(db, map(rules.as_kept, facts))

    def facts(self, client: str, kind: type[Fact]) -> tuple[Fact, ...]:
        """All facts of one kind about one client, in the order they were added."""
        return self._read(
            kind,
            "SELECT body FROM client_fact WHERE client = ? AND kind = ? ORDER BY fact_id",
            client,
            KINDS[kind],
        )

    def clients(self) -> tuple[str, ...]:
        """The codes of all clients that anything is kept of, in the order of the alphabet."""
        with explained(self.path):
            rows = self._connection.execute(
                "SELECT client FROM visit UNION SELECT client FROM client_fact ORDER BY client"
            )
            return tuple(client for (client,) in rows)

    def parcel(self, visit_id: str) -> Parcel:
        """All that is kept of a visit. Raises StoreError when there is none of that id."""
        visit = self.visit(visit_id)
        versions = tuple(v for history in self._of_visit(visit_id) for v in history)
        with explained(self.path):
            return Parcel(visit, versions, clips_of(self._connection, visit_id))

    def take_in(self, parcels: Iterable[Parcel], facts: Iterable[ClientFact]) -> Taken:
        """Put in what another store kept, all or none; see `Store.take_in`."""
        visits = versions = 0
        with self._writing() as db:
            for parcel in parcels:
                there = self._visit(parcel.visit.visit_id)
                visits += there is None
                put_visit(db, rules.merged(there, parcel.visit))
                versions += sum(
                    self._append(db, v, parcel.clips.get((v.entry_id, v.version), ()))
                    for v in parcel.versions
                )
            taken = insert_facts(db, facts)
        self._empty_log()
        return Taken(visits, versions, taken)

    def find(self, words: str, limit: int = 20) -> tuple[Entry, ...]:
        """The records that hold every one of these words, newest kept first; see `search.found`."""
        with explained(self.path), closing(search.found(self._connection, words)) as found:
            hits = (
                record
                for entry_id, version in found
                if (record := standing(self.history(entry_id))) and record.version == version
            )
            return tuple(islice(hits, limit))

    def remove_client(self, client: str, hand: Hand) -> Removed:
        """Remove all that is kept of a client, and every trace of it in the file.

        Raises StoreError when nothing is kept, and when the records are removed but another
        program keeps the log of the file from being emptied.
        """
        with self._writing() as db:
            removed = removal.remove_client(db, client, hand)
            if removed == Removed():
                raise rules.no_such_client(client)
            search.merge(db)
        with explained(self.path):
            self._connection.execute("VACUUM")
            busy, *_ = self._connection.execute("PRAGMA wal_checkpoint(TRUNCATE)").fetchone()
        if busy:
            raise traces_left(self.path)
        return removed

    def remove_sound(self, before: datetime, hand: Hand) -> Removed:
        """Remove the sound of all that was said before a moment; the records stay."""
        with self._writing() as db:
            removed = removal.remove_sound(db, before, hand)
        if removed.clips:
            self._empty_log()
        return removed

    def check(self) -> Examined:
        """Go through the whole file; StoreError at the first sign of damage or tampering."""
        return examine(self._connection, self.path, encrypted=self.key is not None)

    def glance(self) -> None:
        """Look for damage for half a second at most; StoreError at the first sign of it."""
        glance(self._connection, self.path)

    def copy_to(self, target: Path) -> Examined:
        """Copy the whole store to a new file under the same key, and look through the copy."""
        return copies.copy(self._connection, target, self.key)

    def has_link(self, link: str) -> bool:
        """Whether a link of the audit trail that was noted earlier, or its start, still stands."""
        with explained(self.path):
            return trail.has_link(self._connection, link)

    def close(self) -> None:
        """Let go of the file. Closing twice does no harm."""
        with explained(self.path):
            self._connection.close()

    def _of_visit(self, visit_id: str) -> tuple[rules.History, ...]:
        return rules.histories(
            self._read(Entry, "SELECT body FROM entry_version WHERE visit_id = ?", visit_id)
        )

    def _visit(self, visit_id: str) -> Visit | None:
        return next(self._each(Visit, "SELECT body FROM visit WHERE visit_id = ?", visit_id), None)

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
        with suppress(*drivers.failures()):
            self._connection.execute("PRAGMA wal_checkpoint(TRUNCATE)")
