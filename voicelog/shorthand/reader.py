"""Reads typed shorthand, and looks through free notes for what could become a record."""

from collections.abc import Iterator
from types import MappingProxyType
from typing import TYPE_CHECKING

from voicelog.grammar.abbreviations import Doubtful
from voicelog.grammar.language import LanguageData
from voicelog.grammar.parse import MANY, SlotValue
from voicelog.shorthand.reading import Doubt, Place, Reading, Suggestion
from voicelog.shorthand.words import Word

if TYPE_CHECKING:
    from voicelog.shorthand.claims import Neighbours
    from voicelog.shorthand.settle import Settled

_LEAST_SHORT = 3
"""Letters that a short form in lower case needs to be taken for one in a free note."""


class Shorthand:
    """Reads what is typed in one language. Building it loads spaCy, which takes seconds."""

    def __init__(self, language: LanguageData) -> None:
        # Whoever only dictates need not wait for spaCy.
        from voicelog.shorthand.finder import Finder
        from voicelog.shorthand.lexicon import limits

        self._language = language
        self._limits = limits(language)
        self._finder = Finder(language)
        self._fillers = {f.lower() for f in (*language.fillers, *language.shorthand.small.fillers)}

    def read(self, text: str) -> Reading:
        """The slots that the text gives, in any order. Never raises: what means nothing stays
        unread, and what may mean two things is doubtful."""
        from voicelog.shorthand.bare import bare_numbers
        from voicelog.shorthand.settle import settle

        words = self._finder.cutter.cut(text)
        note = self._note(text, words)
        if note:
            return note
        around = self._neighbours(words, mend=True)
        covered = around.covered
        bare = bare_numbers(words, covered, around.claims(self._limits), self._limits)
        claims = around.claims(self._limits, {claim.start for claim in bare if claim.choices})
        settled = settle(claims, bare, self._language)
        read = around.used | {at for c in settled.claims for at in range(c.start, c.end)}
        left = [
            at
            for at, word in enumerate(words)
            if at not in read and (at in covered or word.text.lower() not in self._fillers)
        ]
        return Reading(
            kind=settled.kind,
            slots=MappingProxyType(settled.slots),
            spans=MappingProxyType(_spans(settled, words)),
            doubts=tuple(self._doubts(settled, words, text)),
            unread=tuple(_runs(left, words)),
        )

    def suggest(self, text: str) -> tuple[Suggestion, ...]:
        """What a free note says of slots, each for itself; nothing is settled or kept by it."""
        words = self._finder.cutter.cut(text)
        found: list[Suggestion] = []
        for claim in self._neighbours(words, mend=False).claims(self._limits):
            place = (words[claim.start].start, words[claim.end - 1].end)
            typed = text[slice(*place)]
            if len(typed) < _LEAST_SHORT and typed.islower():
                continue
            choices = tuple(_as_held(slot, value) for slot, value in claim.choices)
            reason = self._reason(claim.doubt, typed, choices) if claim.doubt else ""
            found.append(Suggestion(claim.slot, choices, place, reason))
        return tuple(found)

    def _neighbours(self, words: tuple[Word, ...], mend: bool) -> "Neighbours":
        from voicelog.shorthand.claims import Neighbours

        found = self._finder.find(words, mend)
        return Neighbours(found, words, self._fillers, self._language.shorthand.most_sets)

    def _note(self, text: str, words: tuple[Word, ...]) -> Reading | None:
        """A note when the text opens with the word for it and a colon, or that word alone."""
        openers = self._language.kinds["note"]
        if len(words) < 2 or words[0].text.lower() not in openers:
            return None
        first = 2 if words[1].text == ":" and len(words) > 2 else 1
        place = (words[first].start, words[-1].end)
        slots: dict[str, SlotValue] = {"text": text[slice(*place)]}
        spans = MappingProxyType({"text": (place,)})
        return Reading("note", MappingProxyType(slots), spans, (), ())

    def _doubts(self, settled: "Settled", words: tuple[Word, ...], text: str) -> Iterator[Doubt]:
        for slot, why, choices, claim in settled.doubts:
            place = (words[claim.start].start, words[claim.end - 1].end)
            yield Doubt(slot, self._reason(why, text[slice(*place)], choices), choices, place)

    def _reason(self, why: Doubtful, typed: str, choices: tuple[SlotValue, ...]) -> str:
        flat = [", ".join(c) if isinstance(c, tuple) else str(c) for c in choices]
        template = self._language.shorthand.reasons[why]
        return template.format(text=typed, choices=", ".join(flat))


def _as_held(slot: str, value: SlotValue) -> SlotValue:
    return (str(value),) if slot in MANY and not isinstance(value, tuple) else value


def _spans(settled: "Settled", words: tuple[Word, ...]) -> dict[str, tuple[Place, ...]]:
    spans: dict[str, tuple[Place, ...]] = {}
    for claim in settled.claims:
        place = (words[claim.start].start, words[claim.end - 1].end)
        for slot in dict.fromkeys((claim.slot, *dict(claim.choices))):
            spans[slot] = tuple(sorted({*spans.get(slot, ()), place}))
    return spans


def _runs(at: list[int], words: tuple[Word, ...]) -> Iterator[Place]:
    """The places of the words, those next to each other as one."""
    start = 0
    for here in range(1, len(at) + 1):
        if here == len(at) or at[here] != at[here - 1] + 1:
            yield words[at[start]].start, words[at[here - 1]].end
            start = here
