"""Cuts a typed text into words, numbers and signs, each with its place."""

import re
from collections.abc import Set
from dataclasses import dataclass

from voicelog.grammar.numbers import NumberWords, number
from voicelog.grammar.template import match

LOOSE_DASH = "—"
"""Stands for a dash with space beside it, which separates; a tight one joins."""
NUMBER = r"-?[0-9]{1,6}(\.[0-9]{1,6})?"
"""Longer ones are no numbers of a record, and slow to turn into one."""
_NUMBER = re.compile(NUMBER)
_WORDS = re.compile(
    r"(?<![\w)/])-[0-9]+(?:\.[0-9]+)?|[0-9]+(?:\.[0-9]+)?|[^\W\d_]+(?:'[^\W\d_]+)*|[^\s]"
)
_SAME = str.maketrans(
    {
        **dict.fromkeys(map(chr, range(0xD800, 0xE000)), "?"),
        "×": "x", "✕": "x", "*": "x", "º": "°", "˚": "°", "’": "'", "‘": "'", "“": '"', "”": '"',
        "″": '"', "−": "-", "–": "-", "—": "-", "‑": "-",
    }
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Word:
    """One word, number or sign; a number said in words has the digits as its text."""

    text: str
    start: int
    end: int

    @property
    def is_number(self) -> bool:
        """Whether it is a number in digits, such as "95", "-5" or "3.5"."""
        return _NUMBER.fullmatch(self.text) is not None


class Cutter:
    """Cuts texts into words; number words become numbers, and `joined` words stay whole."""

    def __init__(self, numbers: NumberWords, joined: Set[str] = frozenset()) -> None:
        self._numbers = number(numbers, "number", 0, 199)
        tables = (numbers.digits, numbers.teens, numbers.tens)
        forms = [form for table in tables for said in table.values() for form in said]
        self._openers = {form.split()[0] for form in (*forms, *numbers.hundred)}
        self._joined = joined

    def cut(self, text: str) -> tuple[Word, ...]:
        """The words of the text in order; together they hold every character but the space."""
        plain = text.translate(_SAME)
        found = [Word(m[0], m.start(), m.end()) for m in _WORDS.finditer(plain)]
        return tuple(self._with_numbers([_dash(word, plain) for word in self._whole(found)]))

    def _whole(self, words: list[Word]) -> list[Word]:
        """With a letter and its number as one word where that is a word, such as "L4"."""
        whole: list[Word] = []
        for word in words:
            last = whole[-1] if whole else None
            if last and last.end == word.start and (last.text + word.text).lower() in self._joined:
                whole[-1] = Word(last.text + word.text, last.start, word.end)
            else:
                whole.append(word)
        return whole

    def _with_numbers(self, words: list[Word]) -> list[Word]:
        texts = tuple(word.text.lower() for word in words)
        found: list[Word] = []
        at = 0
        while at < len(words):
            end, value = self._number_at(texts, at)
            if end > at:
                found.append(Word(str(value), words[at].start, words[end - 1].end))
            else:
                found.append(words[at])
            at = max(end, at + 1)
        return found

    def _number_at(self, texts: tuple[str, ...], at: int) -> tuple[int, object]:
        if texts[at] not in self._openers:
            return at, None
        ends = [(end, made[0].value) for end, made in match(self._numbers, texts, at)]
        return max(ends, default=(at, None), key=lambda found: found[0])


def _dash(word: Word, text: str) -> Word:
    tight = text[word.start - 1 : word.start].strip() and text[word.end : word.end + 1].strip()
    return word if word.text != "-" or tight else Word(LOOSE_DASH, word.start, word.end)
