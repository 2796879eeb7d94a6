"""The promise of every store: versions go in, nothing is overwritten, saved means saved."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Protocol

from voicelog.records.entry import Entry
from voicelog.records.facts import ClientFact, Fact
from voicelog.records.visit import Visit


@dataclass(frozen=True, slots=True)
class Clip:
    """The sound of one utterance as a FLAC file in memory, with the words heard in it."""

    flac: bytes
    text: str
    duration_s: float


class Store(Protocol):
    """Keeps visits, versions of entries with the sound beside them, and what is on file of clients.

    Each call is one transaction: when it returns, what it wrote survives a power cut; when it
    raises StoreError, nothing was written. `append` calls `records.entry.check_follows` first.
    Times read back with a fixed offset from UTC, whatever zone they came with.
    """

    def open_visit(self, client: str, at: datetime) -> Visit:
        """Begin a visit. The id is the day of `at` and a running number."""
        ...

    def end_visit(self, visit_id: str, at: datetime) -> Visit:
        """End a visit; one that has ended already keeps its first end. StoreError if unknown."""
        ...

    def visits(self, client: str | None = None) -> tuple[Visit, ...]:
        """All visits, oldest first, of one client or of all."""
        ...

    def visit(self, visit_id: str) -> Visit:
        """One visit. Raises StoreError when there is none of that id."""
        ...

    def append(self, entry: Entry, clips: Sequence[Clip] = ()) -> None:
        """Keep a version and the sound that led to it.

        A dropped version brings no sound and takes away that of all versions since the last
        confirmed one. Repeating a version that is kept already, to the letter, does nothing, so
        a call whose outcome is uncertain can simply be made again. Raises StaleVersion when a
        different version of that number is there, StoreError when the visit is unknown or is of
        another client.
        """
        ...

    def history(self, entry_id: str) -> tuple[Entry, ...]:
        """All versions of one entry, oldest first; empty when there is none."""
        ...

    def records(self, visit_id: str) -> tuple[Entry, ...]:
        """The standing (confirmed) version of each entry of a visit, in the order spoken; empty
        for a visit that is not there."""
        ...

    def unconfirmed(self, visit_id: str) -> tuple[Entry, ...]:
        """The waiting version of each entry of a visit, in the order spoken."""
        ...

    def clips(self, entry_id: str) -> tuple[Clip, ...]:
        """The sound kept with an entry, in the order spoken."""
        ...

    def add_facts(self, *facts: ClientFact) -> None:
        """Put facts about clients on file, all or none, beside those that are there.

        Repeating a fact that is on file already, to the letter, does nothing.
        """
        ...

    def facts(self, client: str, kind: type[Fact]) -> tuple[Fact, ...]:
        """All facts of one kind about one client, in the order they were added."""
        ...

    def close(self) -> None:
        """Let go of everything. Any later call but another close raises StoreError."""
        ...
