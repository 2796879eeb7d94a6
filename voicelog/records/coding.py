"""Published codes for what a record says, as a table to look up in.

Only codes that were seen in a source are ever handed out; one from memory stays in the table, so
that whoever confirms it has only its status to change.
"""

from dataclasses import dataclass
from typing import Literal

from voicelog.records.content import Side

Use = Literal[
    "site", "range", "any range", "pain", "degrees", "score", "exam", "ambulatory", "author",
    "verifier",
]  # fmt: skip
"""What a code stands for."""


@dataclass(frozen=True, slots=True)
class Code:
    """One code of a published system. Empty slots make no difference to what it stands for."""

    use: Use
    joint: str
    motion: str
    side: str
    manner: str
    system: str
    code: str
    display: str
    status: Literal["seen", "memory"]
    source_key: str


@dataclass(frozen=True, slots=True)
class Codes:
    """The codes that may be used; empty when they are switched off."""

    rows: tuple[Code, ...] = ()

    def of(self, use: Use) -> Code | None:
        """The code of a use that depends on nothing else."""
        return self._first(use, "", "", "", "")

    def site(self, joint: str | None, side: Side | None) -> Code | None:
        """The body site with its side in one code, or else the site alone."""
        return self._first("site", joint or "", "", side or "", "") or self._first(
            "site", joint or "", "", "", ""
        )

    def range(
        self, joint: str | None, motion: str | None, side: Side | None, manner: str | None
    ) -> Code | None:
        """The range of one motion of a joint, taken in that manner. None without a manner."""
        slots = (joint or "", motion or "")
        return self._first("range", *slots, side or "", manner or "") or self._first(
            "range", *slots, "", manner or ""
        )

    def _first(self, use: Use, *slots: str) -> Code | None:
        for row in self.rows:
            own = (row.joint, row.motion, row.side, row.manner)
            if (row.use, own, row.status) == (use, slots, "seen"):
                return row
        return None
