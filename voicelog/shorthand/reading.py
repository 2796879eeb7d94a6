"""What was made of a typed line, and what was not."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from voicelog.grammar.parse import SlotValue

Kind = Literal["record", "drill", "fault", "cue", "note"]
Place = tuple[int, int]
"""Characters `[start, end)` of the typed text."""


@dataclass(frozen=True, slots=True)
class Doubt:
    """A slot that a person must look at, and why, in words for a person.

    `choices` are the values that it may have, as far as there are any. `place` is what was typed.
    """

    slot: str
    reason: str
    choices: tuple[SlotValue, ...]
    place: Place


@dataclass(frozen=True, slots=True)
class Reading:
    """A typed line as slots, named as in `voicelog.grammar.parse.Intent`.

    `kind` is None when nothing was read. A slot whose value had to be guessed is left out of
    `slots` and stands in `doubts` alone, with its choices; one that is only uncertain stands in
    both. `spans` gives every place that says something of a slot; `unread` the places of which
    nothing was made.
    """

    kind: Kind | None
    slots: Mapping[str, SlotValue]
    spans: Mapping[str, tuple[Place, ...]]
    doubts: tuple[Doubt, ...]
    unread: tuple[Place, ...]

    @property
    def doubtful(self) -> tuple[str, ...]:
        """The slots in doubt, each once."""
        return tuple(dict.fromkeys(doubt.slot for doubt in self.doubts))


@dataclass(frozen=True, slots=True)
class Suggestion:
    """Something found in a free note. It becomes part of a record only when a person takes it.

    The slots "drill", "fault" and "cue" hold the name of one. `reason` says why it is doubtful
    and is empty when it is not.
    """

    slot: str
    choices: tuple[SlotValue, ...]
    place: Place
    reason: str = ""
