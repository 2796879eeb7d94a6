"""The short forms of a typed language as data: what a therapist writes at the desk.

Patterns are written as they are typed. In them NUMBER stands for a number of the slot they are
listed under, REPS for repetitions and HOLD for seconds.
"""

from collections.abc import Iterator
from typing import Literal

from pydantic import BaseModel, ConfigDict


class _Data(BaseModel):
    model_config = ConfigDict(frozen=True, extra="forbid", defer_build=True)


class Wary(_Data):
    """A short form that also means something else outside of records.

    It is sure only where a word of one of the slots `beside` stands next to it.
    """

    slot: str
    means: list[str]
    beside: list[str] = []


class Levels(_Data):
    """Spinal levels of one letter, from 1 to `last`, and the joint that they belong to."""

    joint: str
    last: int


class Small(_Data):
    """Words and signs around the short forms."""

    fillers: list[str] = []
    """May stand anywhere and mean nothing."""
    between: list[str] = []
    """May stand between a word and its number."""
    to: list[str] = []
    """Between two numbers: from one to the other."""
    plural: str = ""
    """Ending of a drill done more than once."""
    pain_words: list[str] = []
    """Mean nothing of their own beside a quality or a number of pain."""
    denials: list[str] = []
    """What follows was not there."""
    denials_after: list[str] = []
    """What went before was not there."""
    joining: list[str] = []
    """Carry a denial on to the next word."""
    hedges: list[str] = []
    """What follows is not certain, or not now."""
    hedges_after: list[str] = []
    """What went before is not certain."""


Doubtful = Literal[
    "unclear", "wary", "spelling", "span", "twice", "limit", "whole", "hedged", "unit",
    "misfit", "midline", "other_kind", "swapped", "strange",
    "denied",
]  # fmt: skip
"""Why a part of what was typed is marked for a second look."""


class Abbreviations(_Data):
    """Short forms, whatever their case, and what they mean."""

    short: dict[str, dict[str, str]] = {}
    """Slot, short form, value."""
    as_written: dict[str, dict[str, str]] = {}
    """Short forms that mean this only in exactly this case."""
    wary: dict[str, Wary] = {}
    unclear: dict[str, dict[str, list[str]]] = {}
    """Short forms with more than one meaning: slot to values."""
    seldom: dict[str, list[str]] = {}
    """Motions that a joint has, but that an unclear short form does not mean there."""
    levels: dict[str, Levels] = {}
    measures: dict[str, list[str]] = {}
    doubtful_measures: dict[str, list[str]] = {}
    """Patterns that are read, but always marked."""
    most_sets: int = 5
    """More sets than this, and the number may be one of repetitions."""
    no_place: list[str] = []
    """Patterns for which a record has no place: they are shown as not read."""
    small: Small = Small()
    reasons: dict[Doubtful, str]

    def meanings(self) -> Iterator[tuple[str, str, str]]:
        """Every short form with a slot and a value that it may mean."""
        for table in (self.short, self.as_written):
            for slot, forms in table.items():
                yield from ((form, slot, value) for form, value in forms.items())
        for form, wary in self.wary.items():
            yield from ((form, wary.slot, value) for value in wary.means)
        for form, slots in self.unclear.items():
            yield from ((form, slot, value) for slot, values in slots.items() for value in values)
        yield from ((letter, "joint", levels.joint) for letter, levels in self.levels.items())
