"""What happened in a visit, as it is shown on screens and written to logs."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime
from typing import Literal

from voicelog.grammar.parse import Intent
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


def facts_heard(intent: Intent, confidence: float) -> dict[str, object]:
    """The facts of what was heard and meant something; the confidence goes from 0 to 1."""
    return {
        "intent": intent.command or intent.kind,
        "slots": dict(intent.slots),
        "confidence": round(confidence, 3),
    }
