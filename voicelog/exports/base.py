"""The promise of every export: one visit in, one file out."""

from dataclasses import dataclass, field
from typing import Protocol

from voicelog.analysis.findings import Findings
from voicelog.grammar.language import LanguageData
from voicelog.records.coding import Codes
from voicelog.records.entry import Entry
from voicelog.records.visit import Visit

CAUTION = (
    "This describes what was said and measured in one session. It does not diagnose, does not "
    "clear anyone for loading, and does not replace licensed assessment. The practitioner's "
    "licence and scope of practice, the employer's rules and local law apply; where those are "
    "stricter, they win. When in doubt, do not load: refer."
)
"""Stands in the files that machines read; a note says it in the language of the practice."""


@dataclass(frozen=True, slots=True)
class Practice:
    """Whom a client calls. What is empty becomes a line to write on."""

    name: str = ""
    phone: str = ""


@dataclass(frozen=True, slots=True)
class VisitRecords:
    """What an export is made from. `unconfirmed` is empty unless it was asked for.

    `language` is that of the practice, in which notes and home sheets are written. `findings` is
    what the confirmed records say and how the safety screen stood; None leaves that part out.
    `earlier` are confirmed versions of the records that a correction has taken the place of.
    `plots` are pictures over the visits as SVG text. `codes` are the published codes that may be
    used; none by themselves.

    Raises ValueError when an entry stands in the wrong place: nothing that was not confirmed may
    ever be written down as a record.
    """

    visit: Visit
    records: tuple[Entry, ...]
    unconfirmed: tuple[Entry, ...] = ()
    findings: Findings | None = None
    earlier: tuple[Entry, ...] = ()
    plots: tuple[str, ...] = ()
    codes: Codes = field(default_factory=Codes)
    practice: Practice = field(default_factory=Practice)
    language: LanguageData = field(kw_only=True)

    def __post_init__(self) -> None:
        standing = (*self.records, *self.earlier)
        for status, entries in (("confirmed", standing), ("unconfirmed", self.unconfirmed)):
            for entry in entries:
                if (entry.status, entry.visit_id) != (status, self.visit.visit_id):
                    raise ValueError(f"entry {entry.entry_id} is no {status} entry of this visit")


class Export(Protocol):
    """Each format's module offers these two names; its file name is the format's name."""

    SUFFIX: str

    def render(self, visit: VisitRecords) -> str | bytes:
        """The whole file, as text where it is text. Pure: the same visit gives the same file."""
        ...
