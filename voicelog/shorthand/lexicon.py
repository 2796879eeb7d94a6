"""All that can be typed in a language, with what it means: data for the matcher."""

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from voicelog.grammar.language import LanguageData, Names
from voicelog.grammar.parse import SlotValue

Choice = tuple[str, SlotValue]
"""A slot and a value for it."""
PLACEHOLDERS = {"REPS": "reps", "HOLD": "hold_s"}
"""Numbers in a pattern that go to a slot of their own; NUMBER goes to that of the pattern."""
FILLERS, PAIN = "fillers", "pain_words"
CONTROLS = (FILLERS, PAIN, "denials", "denials_after", "joining", "hedges", "hedges_after")
"""Slots of terms that say something about their neighbours and nothing of a record."""
NO_PLACE = "no_place"


@dataclass(frozen=True, slots=True)
class Term:
    """Words with a meaning: one choice, or several when it is unclear which one is meant.

    `beside` is None when the meaning is sure; otherwise it is sure only beside one of these slots.
    """

    text: str
    choices: tuple[Choice, ...]
    beside: tuple[str, ...] | None = None
    as_written: bool = False


@dataclass(frozen=True, slots=True)
class Pattern:
    """Words with numbers among them; each of `parts` is a word, or a slot for a number."""

    text: str
    slot: str
    doubtful: bool = False


def terms(language: LanguageData) -> Iterator[Term]:
    """Every term of the language; of two with the same text, the first one counts."""
    data = language.shorthand
    for slot, forms in data.as_written.items():
        for text, value in forms.items():
            yield Term(text, ((slot, value),), as_written=True)
    for text, wary in data.wary.items():
        yield Term(text, _wary(wary.slot, wary.means), wary.beside)  # type: ignore[arg-type]
    for text, meanings in data.unclear.items():
        choices = [(slot, value) for slot, values in meanings.items() for value in values]
        yield Term(text, tuple(choices))
    for slot, forms in data.short.items():
        for text, value in forms.items():
            yield Term(text, ((slot, value),))
    yield from _spoken(language)
    for letter, levels in data.levels.items():
        for level in range(1, levels.last + 1):
            yield Term(f"{letter}{level}", (("joint", levels.joint),), beside=())
    for control in CONTROLS:
        for text in getattr(data.small, control):
            yield Term(text, ((control, text),))


def _wary(slot: str, means: list[str]) -> tuple[Choice, ...]:
    return ((slot, tuple(means) if slot == "quality" else means[0]),)


def _spoken(language: LanguageData) -> Iterator[Term]:
    """What may be said may be typed."""
    slots: dict[str, Names] = {
        name: getattr(language.slots, name) for name in type(language.slots).model_fields
    }
    slots["joint"] = {name: joint.spoken for name, joint in language.joints.items()}
    slots |= {"motion": language.motions, "drill": language.drills}
    slots |= {"fault": language.faults, "cue": language.cues}
    slots["kind"] = {str(kind): forms for kind, forms in language.kinds.items()}
    for slot, names in slots.items():
        for name, forms in names.items():
            for text in dict.fromkeys((*forms, name)):
                yield Term(text, ((slot, name),))
                if slot == "drill":
                    yield Term(text + language.shorthand.small.plural, ((slot, name),))
    for joint in language.joints.values():
        for name, forms in joint.also.items():
            yield from (Term(text, (("motion", name),)) for text in forms)
    for slot, measure in language.measures.items():
        for text, value in measure.fixed.items():
            yield Term(text, ((slot, value),))


def patterns(language: LanguageData) -> Iterator[Pattern]:
    """Every pattern with a number; those of the spoken language first."""
    data = language.shorthand
    for spoken, measure in language.measures.items():
        yield from (Pattern(text, spoken) for text in measure.spoken)
    for slot, texts in data.measures.items():
        yield from (Pattern(text, slot) for text in texts)
    for slot, texts in data.doubtful_measures.items():
        yield from (Pattern(text, slot, doubtful=True) for text in texts)
    yield from (Pattern(text, NO_PLACE) for text in data.no_place)


def limits(language: LanguageData) -> Mapping[str, tuple[int, int]]:
    """Lowest and highest value of each slot that holds a number."""
    found: dict[str, tuple[int, int]] = {}
    for slot, measure in language.measures.items():
        found[slot] = (measure.low, measure.high)
        if measure.reps:
            found["reps"] = (measure.reps.low, measure.reps.high)
    return found


def split_pattern(pattern: Pattern) -> list[tuple[str, str]]:
    """The pattern as ("word", text) and ("slot", name) parts, in order."""
    parts = re.split(rf"(NUMBER|{'|'.join(PLACEHOLDERS)})", pattern.text)
    named = {"NUMBER": pattern.slot, **PLACEHOLDERS}
    return [("slot", named[p]) if p in named else ("word", p) for p in parts if p.strip()]
