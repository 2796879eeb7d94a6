"""Words and short phrases of talk, which a short phrase of the language must fit better than.

A command, a number or another short answer has few sounds, and any other short word ("off", "up")
may come close to it. So all of these stand against it as anti-models (Sukkar and Lee 1996, from
memory), apart from those that sound the same ("for", where "four" was heard).
"""

from collections.abc import Mapping, Sequence
from itertools import product

Words = tuple[str, ...]


class Everyday:
    """The phrases. `sounds` has the pronunciations of all words, theirs too."""

    def __init__(self, phrases: Sequence[str], sounds: Mapping[str, Sequence[str]]) -> None:
        self._sounds = sounds
        self._said = {words: self._ways(words) for words in (tuple(p.split()) for p in phrases)}

    def beside(self, words: Words) -> tuple[Words, ...]:
        """Those that can be told from these words."""
        ways = self._ways(words)
        return tuple(other for other, said in self._said.items() if ways.isdisjoint(said))

    def _ways(self, words: Words) -> frozenset[str]:
        return frozenset(" ".join(way) for way in product(*(self._sounds[w] for w in words)))
