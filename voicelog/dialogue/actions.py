"""What to do, in the imperative. The shell does them in order and reports back with events."""

from dataclasses import dataclass
from datetime import datetime
from typing import Literal

from voicelog.records.entry import Entry

Tone = Literal["heard", "saved", "kept", "ask", "trouble", "paused", "ready"]
"""A short tone; see `voicelog.speech.base.Tone`."""


@dataclass(frozen=True, slots=True)
class Keep:
    """Keep this unconfirmed version with the sound of the utterance just heard."""

    entry: Entry


@dataclass(frozen=True, slots=True)
class Save:
    """Keep this confirmed version: it is a record from now on."""

    entry: Entry


@dataclass(frozen=True, slots=True)
class Drop:
    """Keep that the unconfirmed version before this one counts no more."""

    entry: Entry


@dataclass(frozen=True, slots=True)
class Say:
    """Say this to the therapist, or only show it where it is not to be `aloud`."""

    text: str
    aloud: bool = True


@dataclass(frozen=True, slots=True)
class Signal:
    """Give a short tone."""

    tone: Tone


@dataclass(frozen=True, slots=True)
class EndVisit:
    """End the visit."""

    at: datetime


Action = Keep | Save | Drop | Say | Signal | EndVisit
