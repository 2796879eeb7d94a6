"""Which phrases to read out, so that a voice is heard in all sounds of the language."""

import math
from collections import Counter
from collections.abc import Iterable

from voicelog.grammar.alike import Sounds

COUNT = 20
FEWEST, MOST = 7, 11
"""Words in a phrase: long enough to say much, short enough for one breath."""
_UNHEARD = 0.1
"""Stands for no hearing at all, as a logarithm needs a number: a sound that is not covered yet
counts for more than any that is."""


def phrases_to_read(
    sentences: Iterable[str], sounds: Sounds, count: int = COUNT
) -> tuple[str, ...]:
    """So many of the sentences that together say each phone as equally often as can be.

    One after the other that which gains most for its length, where a phone is worth the logarithm
    of how often it is said; of equals the first. Fewer when there are not so many.
    """
    said = {s: _phones(s, sounds) for s in sentences if _is_one_breath(s.split())}
    heard: Counter[str] = Counter()
    chosen: list[str] = []
    while said and len(chosen) < count:
        best = max(said, key=lambda sentence: _gain(said[sentence], heard))
        heard += said.pop(best)
        chosen.append(best)
        said = {s: phones for s, phones in said.items() if not _repeats(s, best)}
    return tuple(chosen)


def _is_one_breath(words: list[str]) -> bool:
    return FEWEST <= len(words) <= MOST and len(set(words)) == len(words)


def _repeats(sentence: str, other: str) -> bool:
    """Whether more than half of its words are in the other: it would be tiring to read."""
    words = sentence.split()
    return 2 * len({*words} & {*other.split()}) > len(words)


def _phones(sentence: str, sounds: Sounds) -> Counter[str]:
    """How often each phone is in it, each word said the first way."""
    return Counter(phone for word in sentence.split() for phone in sounds[word][0].split())


def _gain(phones: Counter[str], heard: Counter[str]) -> float:
    more = sum(
        math.log((heard[phone] + n + _UNHEARD) / (heard[phone] + _UNHEARD))
        for phone, n in phones.items()
    )
    return more / phones.total()
