"""Finds the terms and patterns of a language in typed words, by the matchers of spaCy."""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from itertools import product
from typing import Any

import spacy
from spacy.matcher import Matcher, PhraseMatcher
from spacy.tokens import Doc, Span
from spacy.util import filter_spans

from voicelog.grammar.abbreviations import Doubtful
from voicelog.grammar.language import LanguageData
from voicelog.shorthand.lexicon import (
    NO_PLACE,
    Choice,
    Pattern,
    Term,
    patterns,
    split_pattern,
    terms,
)
from voicelog.shorthand.words import LOOSE_DASH, NUMBER, Cutter, Word

_NUMBER = {"TEXT": {"REGEX": f"^{NUMBER}$"}}
_LEAST_TYPED, _LEAST_MEANT, _LONG = 4, 5, 8
"""Letters a word must have to be mended, that the word meant must have, and from which on a word
two letters away counts as another reading."""


_FAR = " far"
_MOST_HYPHENED = 4


@dataclass(frozen=True, slots=True)
class Found:
    """A term or a pattern in words `[start, end)`, with the numbers that fill its slots."""

    start: int
    end: int
    choices: tuple[Choice, ...] = ()
    numbers: tuple[tuple[str, str], ...] = ()
    beside: tuple[str, ...] | None = None
    doubt: Doubtful | None = None

    @property
    def slots(self) -> frozenset[str]:
        """Every slot that this may be about."""
        return frozenset(slot for slot, _ in (*self.choices, *self.numbers))


class Finder:
    """The matchers of one language. Building it takes a moment; finding takes milliseconds."""

    def __init__(self, language: LanguageData) -> None:
        self._language = language
        self._hedges = frozenset(language.shorthand.small.hedges)
        self._rows: dict[str, int] = {slot: m.row for slot, m in language.measures.items() if m.row}
        self._vocab = spacy.blank("xx").vocab  # words are cut here: no language's own way is needed
        self._phrases = PhraseMatcher(self._vocab, attr="LOWER")
        self._written = PhraseMatcher(self._vocab, attr="ORTH")
        self._patterns = Matcher(self._vocab)
        self._close = Matcher(self._vocab)
        self._terms: dict[str, Term] = {}
        self._slots: dict[str, tuple[Pattern, list[str | None]]] = {}
        joined = {term.text.lower() for term in terms(language) if _letter_and_number(term.text)}
        self.cutter = Cutter(language.numbers, joined)
        spelled = {word for term in terms(language) for word in self._add_term(term)}
        for pattern in patterns(language):
            spelled |= self._add_pattern(pattern)
        self._spelled = {word for word in spelled if len(word) >= _LEAST_MEANT and word.isalpha()}
        for word in self._spelled:
            self._close.add(word, [[{"LOWER": {"FUZZY1": word}}]])
            if len(word) >= _LONG:
                self._close.add(word + _FAR, [[{"LOWER": {"FUZZY2": word}}]])

    def find(self, words: tuple[Word, ...], mend: bool = True) -> list[Found]:
        """What is in the words, in order, without overlap: the longest first."""
        texts = [word.text for word in words]
        found = self._matches(texts)
        if not mend:
            return found
        mended = self._mended(texts, found)
        if not mended:
            return found
        again = self._matches([mended.get(at, text) for at, text in enumerate(texts)])
        return [
            replace(one, doubt="spelling")
            if mended.keys() & set(range(one.start, one.end))
            else one
            for one in again
        ]

    def _add_term(self, term: Term) -> set[str]:
        words = [word.text for word in self.cutter.cut(term.text)]
        key = " ".join(words) if term.as_written else " ".join(words).lower()
        if key in self._terms:
            return set()
        matcher = self._written if term.as_written else self._phrases
        forms = list(_hyphened(words))
        matcher.add(key, [Doc(self._vocab, words=form) for form in forms])
        self._terms[key] = term
        return {word.lower() for word in words}

    def _add_pattern(self, pattern: Pattern) -> set[str]:
        small = self._language.shorthand.small
        between = {"LOWER": {"IN": [*small.between, *self._hedges]}, "OP": "*"}
        spelled: set[str] = set()
        parts = split_pattern(pattern)
        numbers = () if pattern.slot in self._rows else [t for kind, t in parts if kind == "slot"]
        for spanned in (None, *numbers):
            tokens: list[dict[str, Any]] = []
            slots: list[str | None] = []
            for kind, text in parts:
                if kind == "word":
                    words = [word.text.lower() for word in self.cutter.cut(text)]
                    words = ["-" if word == LOOSE_DASH else word for word in words]
                    tokens += [{"LOWER": word} for word in words]
                    slots += [None] * len(words)
                    spelled.update(words)
                    continue
                if tokens and str(tokens[-1].get("LOWER", "")).isalpha():
                    tokens.append(between)
                    slots.append(None)
                tokens.append(_NUMBER)
                slots.append(text)
                if text == spanned:
                    tokens += [{"LOWER": {"IN": small.to}}, _NUMBER]
                    slots += [None, text]
            key = f"pattern {len(self._slots)}"
            self._patterns.add(key, [tokens])
            self._slots[key] = (pattern, slots)
        return spelled

    def _matches(self, texts: list[str]) -> list[Found]:
        doc = Doc(self._vocab, words=texts)
        spans: list[Span] = []
        found: dict[tuple[int, int], Found] = {}
        for matcher in (self._written, self._phrases):
            spans += matcher(doc, as_spans=True)
        for span in spans:
            term = self._terms[span.label_]
            one = Found(span.start, span.end, term.choices, beside=term.beside)
            found.setdefault((span.start, span.end), one)
        # The stubs of the library leave the alignments out.
        matches: Any = self._patterns(doc, with_alignments=True)
        for match_id, start, end, places in matches:
            pattern, slots = self._slots[self._vocab.strings[match_id]]
            at = [(slots[place], texts[start + i]) for i, place in enumerate(places)]
            numbers = tuple((slot, text) for slot, text in at if slot)
            choices: tuple[Choice, ...] = ()
            if pattern.slot == NO_PLACE:
                numbers = ()
            elif row := self._rows.get(pattern.slot):
                digits = "".join(text for _, text in numbers)
                numbers, choices = (), ((pattern.slot, int(digits)),) if len(digits) == row else ()
            hedged = any(text.lower() in self._hedges for text in texts[start:end])
            doubt: Doubtful | None = "unit" if pattern.doubtful else None
            one = Found(start, end, choices, numbers, doubt="hedged" if hedged else doubt)
            found.setdefault((start, end), one)
            spans.append(Span(doc, start, end))
        kept = sorted({(span.start, span.end) for span in filter_spans(spans)})
        return [found[place] for place in kept]

    def _mended(self, texts: list[str], found: list[Found]) -> dict[int, str]:
        """Words of which nothing was made, one letter off from exactly one word of the language."""
        read = {at for one in found for at in range(one.start, one.end)}
        mended: dict[int, str] = {}
        for at, text in enumerate(texts):
            if at in read or len(text) < _LEAST_TYPED or not text.isalpha():
                continue
            word = self._meant(text.lower())
            if word:
                mended[at] = word
        return mended

    def _meant(self, typed: str) -> str | None:
        """The only word close by, its plural apart; None where two are, as ab- and adduction."""
        if typed in self._spelled:
            return None
        matches = self._close(Doc(self._vocab, words=[typed]))
        keys = {self._vocab.strings[key] for key, _, _ in matches}
        near = sorted(key for key in keys if key in self._spelled and key[0] == typed[0])
        others = {key.removesuffix(_FAR) for key in keys}
        alike = near and all(word.startswith(near[0]) for word in others)
        return near[0] if alike else None


def _hyphened(words: list[str]) -> Iterator[list[str]]:
    """The words with hyphens between all, some or none of them; long sentences have none."""
    if len(words) > _MOST_HYPHENED:
        yield words
        return
    gaps = len(words) - 1
    for hyphens in product(("", "-"), repeat=gaps):
        yield words[:1] + [
            part for at, word in enumerate(words[1:]) for part in (*hyphens[at], word)
        ]


def _letter_and_number(text: str) -> bool:
    return len(text) > 1 and text[0].isalpha() and text[1:].isdigit()
