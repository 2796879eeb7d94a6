"""Which alternatives of a tree sound alike: pairs that can stand in the same place of a sentence
and mean different things, by the distance of their pronunciations.

All phrases of one place become one tree of phones, and that tree is walked against itself, keeping
the least distance of every two beginnings; two that are farther apart than the bar are not
followed, so thousands of phrases take a moment.
"""

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from itertools import islice, product

from voicelog.grammar.parse import KIND, parse
from voicelog.grammar.phones import SKIP, change
from voicelog.grammar.places import Meaning, Phrase, places
from voicelog.grammar.template import Node

Sounds = Mapping[str, Sequence[str]]
"""For each word its pronunciations, each as phones with spaces between."""
_Pair = tuple[Phrase, Phrase, float]

BAR = 30.0
"""Pairs up to this distance need an answer: about one phone more, or a small change or two."""
_MOST_VARIANTS = 4


@dataclass(frozen=True, slots=True)
class Alike:
    """Two phrases that sound alike, `distance` apart, without the words that both begin or end
    with. `place` names the slots that they fill; `meanings` are all the pairs of meanings that hang
    on the difference."""

    first: str
    second: str
    distance: float
    place: str
    meanings: tuple[tuple[Meaning, Meaning], ...]


@dataclass(slots=True)
class _Beginning:
    """A place in the tree of phones, and the phrases that end there."""

    depth: int
    after: dict[str, "_Beginning"] = field(default_factory=dict)
    ends: list[Phrase] = field(default_factory=list)


def audit(trees: Sequence[Node], sounds: Sounds, bar: float = BAR) -> tuple[Alike, ...]:
    """Every pair of alternatives in the trees that is no farther apart than `bar`, worst first.

    Raises KeyError when `sounds` lacks a word.
    """
    found: list[_Pair] = []
    for phrases in places(trees):
        start = _tree_of_phones(phrases, sounds)
        found += _pairs(start, start, bar)
    return _grouped(found)


def close_to(
    phrase: str, slot: str, trees: Sequence[Node], sounds: Sounds, bar: float = BAR
) -> tuple[Alike, ...]:
    """What sounds like a new `phrase` for `slot` among all that can stand in the same place.

    `first` or `second` of each pair is the new phrase, or its part that differs. Raises KeyError
    when `sounds` lacks a word.
    """
    new: Phrase = (tuple(phrase.split()), frozenset({(slot, phrase)}))
    start = _tree_of_phones([new], sounds)
    found: list[_Pair] = []
    for phrases in places(trees):
        if any(slot in dict(meaning) for _, meaning in phrases):
            found += _pairs(start, _tree_of_phones(phrases, sounds), bar)
    return _grouped(found)


def alone(phrase: str, slot: str, trees: Iterable[Node]) -> tuple[Alike, ...]:
    """The pair of a new `phrase` for `slot` with itself, where it is a whole utterance already: one
    that it is taken for when the word that opens it goes unheard, or comes after a pause."""
    words = tuple(phrase.split())
    intent = next((found for tree in trees if (found := parse(tree, words))), None)
    if intent is None:
        return ()
    meanings = frozenset({(slot, phrase)}), frozenset({(KIND, intent.kind)})
    return (Alike(phrase, phrase, 0.0, KIND, (meanings,)),)


# The walk


def _tree_of_phones(phrases: Sequence[Phrase], sounds: Sounds) -> _Beginning:
    start = _Beginning(0)
    for phrase in phrases:
        ways = product(*(sounds[word] for word in phrase[0]))
        for said in islice(ways, _MOST_VARIANTS):
            here = start
            for phone in " ".join(said).split():
                here = here.after.setdefault(phone, _Beginning(here.depth + 1))
            here.ends.append(phrase)
    return start


def _pairs(first: _Beginning, second: _Beginning, bar: float) -> Iterator[_Pair]:
    """Every two phrases of different meaning, one from each tree, that are close; each pair once
    where both trees are the same."""
    costs: dict[tuple[int, int], float] = {(id(first), id(second)): 0.0}
    levels: list[dict[tuple[int, int], tuple[_Beginning, _Beginning]]] = [
        {(id(first), id(second)): (first, second)}, {}, {}
    ]  # fmt: skip
    while any(levels):
        level, levels = levels[0], [*levels[1:], {}]
        for key, (one, other) in level.items():
            cost = costs.pop(key)
            yield from _ending(one, other, cost)
            for steps, extra, a, b in _steps(one, other):
                if first is second and id(a) > id(b):
                    a, b = b, a
                pair = (id(a), id(b))
                if cost + extra <= min(bar, costs.get(pair, bar)):
                    costs[pair] = cost + extra
                    levels[steps - 1][pair] = (a, b)


def _steps(
    one: _Beginning, other: _Beginning
) -> Iterator[tuple[int, float, _Beginning, _Beginning]]:
    """From two beginnings to those with a phone more: how many phones, the cost, where to."""
    for a in one.after.values():
        yield 1, SKIP, a, other
    for b in other.after.values():
        yield 1, SKIP, one, b
    for phone, a in one.after.items():
        for another, b in other.after.items():
            yield 2, change(phone, another), a, b


def _ending(one: _Beginning, other: _Beginning, cost: float) -> Iterator[_Pair]:
    for phrase in one.ends:
        for another in other.ends:
            if phrase[1] != another[1] and (one is not other or phrase[0] <= another[0]):
                yield phrase, another, cost


# What is reported


def _grouped(pairs: Sequence[_Pair]) -> tuple[Alike, ...]:
    """One entry for each two texts that differ, whatever stands around them; worst first."""
    groups: dict[tuple[str, str], list[_Pair]] = defaultdict(list)
    for pair in pairs:
        groups[_bare(pair)].append(pair)
    found = [
        Alike(
            *texts,
            min(distance for _, _, distance in group),
            ", ".join(sorted({_place(one[1], other[1]) for one, other, _ in group})),
            tuple(dict.fromkeys((one[1], other[1]) for one, other, _ in group)),
        )
        for texts, group in groups.items()
    ]
    return tuple(sorted(found, key=lambda pair: (pair.distance, pair.first, pair.second)))


def _bare(pair: _Pair) -> tuple[str, str]:
    """The two texts without the words that they share at either end."""
    first, second = list(pair[0][0]), list(pair[1][0])
    for end in (0, -1):
        while len(first) > 1 and len(second) > 1 and first[end] == second[end]:
            del first[end], second[end]
    one, other = sorted((" ".join(first), " ".join(second)))
    return one, other


def _place(one: Meaning, other: Meaning) -> str:
    """The slots in which two meanings differ."""
    return " or ".join(sorted({slot for slot, _ in one ^ other} - {"kind"}))
