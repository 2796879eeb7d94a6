"""What else could have been said: readings that differ in one slot and sound alike.

A network search gives the best reading only. Its neighbours are made here from the tree, to be
weighed against it on the same sound.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property
from heapq import nsmallest
from itertools import islice, product

from voicelog.grammar.alike import Sounds
from voicelog.grammar.parse import COMMAND, KIND, MANY, Intent, parse
from voicelog.grammar.phones import distance
from voicelog.grammar.places import phrases_of
from voicelog.grammar.template import Choice, Mark, Node, Optional, Rule, Several, Total, Value
from voicelog.grammar.template import Sequence as InOrder

FARTHEST = 90.0
"""Phrases farther apart than three phones are not taken for one another ("nine" and "five" are 58
apart, "forty" and "fourteen" 28)."""
_MOST_VARIANTS = 4
_TRIED = 12


@dataclass(frozen=True, slots=True)
class Neighbour:
    """Another reading: `words[start:end]` of the first one are replaced by `instead`. `distance`
    tells how alike both sound (see `phones`)."""

    start: int
    end: int
    instead: tuple[str, ...]
    distance: float


class Neighbours:
    """The neighbours of readings of one tree. `sounds` has the pronunciations of all its words."""

    def __init__(self, tree: Node, sounds: Sounds) -> None:
        self._tree = tree
        self._sounds = sounds
        self._distances: dict[tuple[tuple[str, ...], tuple[str, ...]], float] = {}

    def of(self, words: tuple[str, ...], most: int) -> tuple[Neighbour, ...]:
        """Those without a word that a pause may have been taken for, and the `most` that sound most
        alike, the nearest first, spread over the slots.

        Every one of them is a sentence of the tree that means something else.
        """
        intent = parse(self._tree, words)
        if intent is None:
            return ()
        each = max(2, most // max(1, len(intent.spans)))
        found = [
            neighbour
            for slot in intent.spans
            for neighbour in islice(self._in_slot(words, intent, slot), each)
        ]
        nearest = sorted(found, key=lambda neighbour: neighbour.distance)[:most]
        return (*self._with_less(words, intent), *nearest)

    @cached_property
    def _phrases(self) -> dict[str, dict[tuple[str, ...], Value]]:
        """For each slot, all the words that fill it, with the values they give."""
        found: dict[str, dict[tuple[str, ...], Value]] = {}
        for part in _filling(self._tree, set()):
            for words, meaning in phrases_of(part) or ():
                if len(meaning) == 1 and words:
                    ((slot, value),) = meaning
                    found.setdefault(slot, {})[words] = value
        return found

    def _with_less(self, words: tuple[str, ...], intent: Intent) -> Iterator[Neighbour]:
        """Without a single word such as "dull", which may be said anywhere."""
        for slot, (start, end) in intent.spans.items():
            may_be_none = slot in MANY or intent.kind == "command"
            if may_be_none and end - start == 1:
                other = parse(self._tree, words[:start] + words[end:])
                if other is not None and other.slots != intent.slots:
                    yield Neighbour(start, end, (), 0.0)

    def _in_slot(self, words: tuple[str, ...], intent: Intent, slot: str) -> Iterator[Neighbour]:
        start, end = intent.spans[slot]
        said = words[start:end]
        others = [
            w for w, value in self._phrases.get(slot, {}).items() if value != intent.slots[slot]
        ]
        # In "pain free" both words fill the slot, in "pain three" the number alone.
        if len(said) == 2:
            others += [(said[0], *instead) for instead in others]
        before = words[max(0, start - 1) : start]
        others += [instead[1:] for instead in others if len(instead) > 1 and instead[:1] == before]
        near = ((self._apart(said, instead), instead) for instead in dict.fromkeys(others))
        for apart, instead in nsmallest(_TRIED, near):
            if apart > FARTHEST:
                return
            other = parse(self._tree, words[:start] + instead + words[end:])
            if other is not None and (other.kind, other.slots) != (intent.kind, intent.slots):
                yield Neighbour(start, end, instead, apart)

    def _apart(self, first: tuple[str, ...], second: tuple[str, ...]) -> float:
        """How far apart two phrases sound, without the words that both begin or end with."""
        while first and second and first[0] == second[0]:
            first, second = first[1:], second[1:]
        while first and second and first[-1] == second[-1]:
            first, second = first[:-1], second[:-1]
        if (first, second) not in self._distances:
            self._distances[first, second] = min(
                distance(one, other, FARTHEST)
                for one in self._said(first)
                for other in self._said(second)
            )
        return self._distances[first, second]

    def _said(self, words: tuple[str, ...]) -> Iterator[tuple[str, ...]]:
        ways = product(*(self._sounds[word] for word in words))
        return (tuple(" ".join(way).split()) for way in islice(ways, _MOST_VARIANTS))


def _filling(node: Node, seen: set[int]) -> Iterator[Node]:
    """The parts of a tree that give a slot its value."""
    if id(node) in seen:
        return
    seen.add(id(node))
    match node:
        case Mark(slot, _, part) if slot in (KIND, COMMAND):
            parts: tuple[Node, ...] = (part,)
        case Mark() | Total():
            yield node
            parts = ()
        case InOrder(parts) | Choice(parts):
            pass
        case Rule(_, part) | Optional(part):
            parts = (part,)
        case Several():
            parts = node.parts
        case _:
            parts = ()
    for part in parts:
        yield from _filling(part, seen)
