"""One made-up dictation, as it is kept."""

from dataclasses import dataclass, field
from datetime import datetime

import numpy as np

from voicelog.audio.base import RATE_HZ
from voicelog.audio.clips import to_flac
from voicelog.records.entry import Entry, Evidence
from voicelog.records.visit import Visit
from voicelog.store.base import Clip


@dataclass(frozen=True)
class Said:
    """One made-up dictation."""

    entry_id: str
    content: dict[str, object]
    text: str
    sure: dict[str, float] = field(default_factory=dict)
    others: tuple[str, ...] = ()
    affirmed: bool = True
    sound: bool = True

    def entry(self, visit: Visit, at: datetime) -> tuple[Entry, tuple[Clip, ...]]:
        """Its first version, with half a second of a tone for its sound."""
        evidence = {
            "text": self.text, "confidence": 0.9, "slot_confidence": self.sure,
            "alternatives": self.others, "engine": "scripted", "model": "", "grammar_version": "1",
        }  # fmt: skip
        entry = Entry.model_validate(
            {
                "entry_id": self.entry_id, "visit_id": visit.visit_id, "client": visit.client,
                "status": "unconfirmed", "content": {"kind": "record", **self.content},
                "spoken_at": at, "at": at, "by": "kim", "why": "dictated",
                "evidence": (Evidence.model_validate(evidence),),
            }
        )  # fmt: skip
        tone = 8000 * np.sin(2 * np.pi * 220 * np.arange(RATE_HZ // 2) / RATE_HZ)
        sound = to_flac(tone.astype(np.int16))
        return entry, (Clip(sound, self.text, 0.5),) if self.sound else ()
