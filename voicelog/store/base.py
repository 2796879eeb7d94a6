"""The promise of every store: versions go in, nothing is overwritten, saved means saved."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
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


@dataclass(frozen=True, slots=True)
class Parcel:
    """All that is kept of one visit: every version of every entry, each entry's oldest first.

    `clips` holds the sound by entry id and version; versions without sound are not in it.
    """

    visit: Visit
    versions: tuple[Entry, ...]
    clips: Mapping[tuple[str, int], tuple[Clip, ...]] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Taken:
    """How much of what was handed in was new; the rest was there already, to the letter."""

    visits: int
    versions: int
    facts: int


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

    def clients(self) -> tuple[str, ...]:
        """The codes of all clients that anything is kept of, in the order of the alphabet."""
        ...

    def parcel(self, visit_id: str) -> Parcel:
        """All that is kept of a visit. Raises StoreError when there is none of that id."""
        ...

    def take_in(self, parcels: Iterable[Parcel], facts: Iterable[ClientFact]) -> Taken:
        """Put in what another store kept, all or none.

        What is there already, to the letter, is passed over with its sound; a visit that had not
        ended gets its end. Whatever the iterables raise goes through, and then nothing is written.
        Raises StoreError, or its StaleVersion, when something else is there under the same id.
        """
        ...

    def close(self) -> None:
        """Let go of everything. Any later call but another close raises StoreError."""
        ...
