"""The promise of every store: versions go in, nothing is overwritten, saved means saved."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Protocol

from voicelog.records.entry import Entry
from voicelog.records.visit import Visit


@dataclass(frozen=True, slots=True)
class Clip:
    """The sound of one utterance as a FLAC file in memory, with the words heard in it."""

    flac: bytes
    text: str
    duration_s: float


class Store(Protocol):
    """Keeps visits, versions of entries, and the sound beside them.

    Each call is one transaction: when it returns, what it wrote survives a power cut; when it
    raises StoreError, nothing was written. `append` calls `records.entry.check_follows` first.
    """

    def open_visit(self, client: str, at: datetime) -> Visit:
        """Begin a visit. The id is the day of `at` and a running number."""
        ...

    def end_visit(self, visit_id: str, at: datetime) -> Visit: ...

    def visits(self, client: str | None = None) -> tuple[Visit, ...]:
        """All visits, oldest first, of one client or of all."""
        ...

    def visit(self, visit_id: str) -> Visit:
        """One visit. Raises StoreError when there is none of that id."""
        ...

    def append(self, entry: Entry, clips: Sequence[Clip] = ()) -> None:
        """Keep a version and the sound that led to it. A dropped version takes the sound of the
        unconfirmed versions before it away."""
        ...

    def history(self, entry_id: str) -> tuple[Entry, ...]:
        """All versions of one entry, oldest first; empty when there is none."""
        ...

    def records(self, visit_id: str) -> tuple[Entry, ...]:
        """The standing (confirmed) version of each entry of a visit, in the order spoken."""
        ...

    def unconfirmed(self, visit_id: str) -> tuple[Entry, ...]:
        """The waiting version of each entry of a visit, in the order spoken."""
        ...

    def clips(self, entry_id: str) -> tuple[Clip, ...]:
        """The sound kept with an entry, in the order spoken."""
        ...

    def close(self) -> None: ...
