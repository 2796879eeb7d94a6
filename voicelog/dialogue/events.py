"""What happened, in the past tense. Time and new ids come in here, never from inside the core."""

from dataclasses import dataclass
from datetime import datetime
from typing import Literal

from voicelog.grammar.interpret import Interpretation
from voicelog.records.entry import Entry, Evidence

How = Literal["voice", "key"]
"""How a command was given."""


@dataclass(frozen=True, slots=True)
class Heard:
    """An utterance ended and was interpreted. `fresh_id` is for an entry that may begin here."""

    interpretation: Interpretation
    evidence: Evidence
    fresh_id: str
    at: datetime


@dataclass(frozen=True, slots=True)
class KeyPressed:
    """A key or foot switch that stands for a command."""

    command: Literal["affirm", "negative", "stand by", "go ahead"]
    at: datetime


@dataclass(frozen=True, slots=True)
class Stored:
    """The store has this version for good. `remark` is what else is worth saying about it."""

    entry: Entry
    remark: str = ""


@dataclass(frozen=True, slots=True)
class NotStored:
    """The store could not keep this version; `trouble` is one plain sentence."""

    entry: Entry
    trouble: str


@dataclass(frozen=True, slots=True)
class Ended:
    """The store has the end of the visit for good."""


@dataclass(frozen=True, slots=True)
class NotEnded:
    """The store could not keep the end of the visit; `trouble` is one plain sentence."""

    trouble: str


@dataclass(frozen=True, slots=True)
class SoundLost:
    """Some sound never arrived, so a word may be missing."""


@dataclass(frozen=True, slots=True)
class SoundGone:
    """No sound comes any more: the microphone is gone and is waited for."""


@dataclass(frozen=True, slots=True)
class SoundBack:
    """Sound comes again, after so many seconds without any."""

    seconds: float


@dataclass(frozen=True, slots=True)
class NotHeard:
    """The speech engine failed on what was just said."""


@dataclass(frozen=True, slots=True)
class Stopped:
    """The sound ended, or she stopped the program."""

    at: datetime


Event = (
    Heard
    | KeyPressed
    | Stored
    | NotStored
    | Ended
    | NotEnded
    | SoundLost
    | SoundGone
    | SoundBack
    | NotHeard
    | Stopped
)
