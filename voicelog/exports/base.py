"""The promise of every export: one visit in, one text out."""

from dataclasses import dataclass
from typing import Protocol

from voicelog.records.entry import Entry
from voicelog.records.visit import Visit

CAUTION = (
    "This describes what was said and measured in one session. It does not diagnose, does not "
    "clear anyone for loading, and does not replace licensed assessment. The practitioner's "
    "licence and scope of practice, the employer's rules and local law apply; where those are "
    "stricter, they win. When in doubt, do not load: refer."
)
"""Stands in every export that is read by people."""


@dataclass(frozen=True, slots=True)
class VisitRecords:
    """What an export is made from. `unconfirmed` is empty unless it was asked for.

    Raises ValueError when an entry stands in the wrong place: nothing that was not confirmed may
    ever be written down as a record.
    """

    visit: Visit
    records: tuple[Entry, ...]
    unconfirmed: tuple[Entry, ...] = ()

    def __post_init__(self) -> None:
        for status, entries in (("confirmed", self.records), ("unconfirmed", self.unconfirmed)):
            for entry in entries:
                if (entry.status, entry.visit_id) != (status, self.visit.visit_id):
                    raise ValueError(f"entry {entry.entry_id} is no {status} entry of this visit")


class Export(Protocol):
    """Each format's module offers these two names; its file name is the format's name."""

    SUFFIX: str

    def render(self, visit: VisitRecords) -> str:
        """The whole file as text. Pure: the same visit gives the same text."""
        ...
