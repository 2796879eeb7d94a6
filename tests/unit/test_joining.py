"""Networks whose parts come in any order: they allow exactly what the tree allows."""

from collections import defaultdict
from random import Random

import pytest

from voicelog.grammar.automaton import SILENT, Automaton, Compiler
from voicelog.grammar.joining import joined
from voicelog.grammar.template import (
    Choice,
    Node,
    Optional,
    Sequence,
    Several,
    Word,
    match,
    phrase,
    sample,
)
from voicelog.settings.fields import Settings
from voicelog.wiring import House

PAIN = Sequence((Word("pain"), Choice((Word("two"), Word("four")))))
RANGE = Sequence((Choice((Word("two"), Word("four"))), Word("degrees")))
SHARP = Choice((Word("sharp"), phrase("feels cold")))
FOUND = Several(Optional(Word("and")), (PAIN, RANGE, SHARP), once=2)
TRIAL = Sequence((phrase("gap trial"), Optional(FOUND)))


def allows(network: Automaton, words: tuple[str, ...]) -> bool:
    """Whether the network has a path that says these words."""
    steps: dict[int, list[tuple[int, str]]] = defaultdict(list)
    for before, after, word, _ in network.arcs:
        steps[before].append((after, word))
    places = _quiet({0}, steps)
    for said in words:
        places = _quiet({a for p in places for a, word in steps[p] if word == said}, steps)
    return not places.isdisjoint(network.finals)


def _quiet(places: set[int], steps: dict[int, list[tuple[int, str]]]) -> set[int]:
    pending = list(places)
    while pending:
        more = {a for a, word in steps[pending.pop()] if word == SILENT} - places
        places |= more
        pending += more
    return places


def understood(tree: Node, words: tuple[str, ...]) -> bool:
    return any(end == len(words) for end, _ in match(tree, words))


@pytest.mark.parametrize(
    ("said", "allowed"),
    [
        ("gap trial", True),
        ("gap trial pain four", True),
        ("gap trial two degrees and sharp pain four feels cold", True),
        ("gap trial sharp sharp", True),
        ("gap trial pain two sharp pain two", False),
        ("gap trial two degrees four degrees", False),
        ("gap trial and", False),
        ("pain four", False),
    ],
)
def test_what_is_said_once_is_not_said_twice(said: str, *, allowed: bool) -> None:
    words = tuple(said.split())
    assert allows(joined(Compiler(), TRIAL), words) is allowed
    assert understood(TRIAL, words) is allowed


def test_a_random_path_through_the_network_is_understood() -> None:
    network, random = joined(Compiler(), TRIAL), Random(5)
    steps: dict[int, list[tuple[int, str]]] = defaultdict(list)
    for before, after, word, _ in network.arcs:
        steps[before].append((after, word))
    lengths = set()
    for _ in range(300):
        place, words = 0, []
        while steps[place] and (place not in network.finals or random.random() < 0.9):
            place, word = random.choice(steps[place])
            words += [word] if word != SILENT else []
        assert place in network.finals
        assert understood(TRIAL, tuple(words)), words
        lengths.add(len(words))
    assert len(lengths) > 5


@pytest.mark.parametrize("kind", ["trial", "drill", "answer", "correction"])
def test_the_network_of_the_language_allows_what_may_be_said(kind: str) -> None:
    tree, random = getattr(House(Settings()).phrases, kind), Random(7)
    network = joined(Compiler(), tree)
    for _ in range(200):
        words = sample(tree, random.randrange)
        assert allows(network, words), words
