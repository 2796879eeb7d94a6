"""What happened in a visit, as it is shown on screens and written to logs."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime
from typing import Literal

from voicelog.records.entry import Entry

Kind = Literal[
    "heard", "rejected", "proposed", "asked", "saved", "set aside", "dropped",
    "said", "lost", "gone", "back", "trouble", "ended",
]  # fmt: skip
"""lost: some sound never arrived. gone, back: no sound comes any more; it comes again, and the
facts say after how many seconds."""


@dataclass(frozen=True, slots=True)
class Happening:
    """One thing that happened. Never holds words of talk."""

    kind: Kind
    at: datetime
    text: str = ""
    entry: Entry | None = None
    facts: Mapping[str, object] = field(default_factory=dict)
