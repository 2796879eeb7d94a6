"""Sentences drawn from a tree, as often as they are usual: what a phrase list is learnt from.

An engine with a phrase list makes a two-word model of it, so what matters is which word follows
which, and how often. The parser is the gatekeeper of what comes out.
"""

from collections.abc import Callable, Mapping
from itertools import accumulate

from voicelog.grammar.automaton import Weights
from voicelog.grammar.hypothesis import Expect
from voicelog.grammar.pieces import pieces
from voicelog.grammar.template import (
    Choice,
    Free,
    Mark,
    Node,
    Optional,
    Rule,
    Sequence,
    Several,
    Total,
    Word,
    free_branches,
    vocabulary,
)

Draw = Callable[[], float]
"""A number from 0 up to 1, another one each time; the caller owns the randomness."""
SENTENCES = 1000
"""Drawn from each kind of thing that can be said, so that each kind is as likely as another."""
MORE = 1 / 3
"""How often a part that may be repeated is."""


def phrase_lists(
    trees: Mapping[Expect, Node], weights: Weights, draw: Draw
) -> dict[Expect, tuple[str, ...]]:
    """For each tree the sentences of its branches; what several trees share is drawn once."""
    drawn: dict[int, tuple[str, ...]] = {}
    lists: dict[Expect, tuple[str, ...]] = {}
    for expect, tree in trees.items():
        found: list[str] = []
        for branch in _branches(tree):
            if id(branch) not in drawn:
                drawn[id(branch)] = sentences(branch, weights, draw)
            found += drawn[id(branch)]
        lists[expect] = tuple(found)
    return lists


def sentences(tree: Node, weights: Weights, draw: Draw, count: int = SENTENCES) -> tuple[str, ...]:
    """So many sentences of the tree, and once each short phrase with a word that none of them has.

    Of what leads to free words only the short phrases: their sentences cannot be listed.
    """
    if free_branches(tree) is not None:
        return pieces(tree)
    drawn = []
    for _ in range(count):
        words: list[str] = []
        _speak(tree, weights, draw, words)
        drawn.append(" ".join(words))
    unsaid = vocabulary(tree) - {word for sentence in drawn for word in sentence.split()}
    rare = [piece for piece in pieces(tree) if unsaid.intersection(piece.split())] if unsaid else []
    return (*drawn, *rare)


def _branches(tree: Node) -> tuple[Node, ...]:
    if isinstance(tree, Choice):
        return tuple(branch for option in tree.options for branch in _branches(option))
    return (tree,)


def _speak(node: Node, weights: Weights, draw: Draw, words: list[str]) -> None:
    match node:
        case Word(text):
            words.append(text)
        case Sequence(parts):
            for part in parts:
                _speak(part, weights, draw, words)
        case Choice(options):
            _speak(options[_drawn(options, weights, draw)], weights, draw, words)
        case Optional(part):
            weight = _weight(part, weights)
            if draw() < weight / (1 + weight):
                _speak(part, weights, draw, words)
        case Several():
            _speak(node.between, weights, draw, words)
            place = _drawn(node.parts, weights, draw)
            _speak(node.parts[place], weights, draw, words)
            left = node.after(place)
            if left.parts and draw() < MORE:
                _speak(left, weights, draw, words)
        case Rule(_, part) | Mark(_, _, part) | Total(_, part):
            _speak(part, weights, draw, words)
        case Free():
            pass


def _drawn(options: tuple[Node, ...], weights: Weights, draw: Draw) -> int:
    """The place of one of the options."""
    ends = tuple(accumulate(_weight(option, weights) for option in options))
    place = draw() * ends[-1]
    return next(n for n, end in enumerate(ends) if place < end)


def _weight(node: Node, weights: Weights) -> float:
    """How usual a branch is by its name and its first words, against 1."""
    match node:
        case Word(text):
            return weights.words.get(text, 1.0)
        case Rule(name, part):
            return weights.rules.get(name, 1.0) * _weight(part, weights)
        case Mark(_, _, part) | Total(_, part):
            return _weight(part, weights)
        case Sequence(parts):
            return _weight(parts[0], weights)
        case _:
            return 1.0
