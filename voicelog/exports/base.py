"""The promise of every export: one visit in, one text out."""

from dataclasses import dataclass
from typing import Protocol

from voicelog.records.entry import Entry
from voicelog.records.visit import Visit


@dataclass(frozen=True, slots=True)
class VisitRecords:
    """What an export is made from. `unconfirmed` is empty unless it was asked for."""

    visit: Visit
    records: tuple[Entry, ...]
    unconfirmed: tuple[Entry, ...] = ()


class Export(Protocol):
    """Each module of this folder offers these two names; its file name is the format's name."""

    SUFFIX: str

    def render(self, visit: VisitRecords) -> str:
        """The whole file as text. Pure: the same visit gives the same text."""
        ...
