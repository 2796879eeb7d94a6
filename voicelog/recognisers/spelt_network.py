"""The network that the engine searches, spelt in the pieces that the transcriber writes."""

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np

from voicelog.recognisers.networks import Step
from voicelog.recognisers.word_pieces import SPACE, WordPieces

States = tuple[tuple[int, float], ...]
"""States of the network in which one may be, each with the nats that it costs beside the best."""
FIRST: States = ((0, 0.0),)
"""Where every way through a network begins."""
_FAR = 15.0
"""States that cost more than the best by so many nats are given up."""


@dataclass(slots=True)
class Node:
    """A place inside words that may be written: the pieces that may come `next`; the words that end
    here, each with what it costs in nats and the states behind it; all `words` that lead through
    here."""

    next: dict[int, "Node"] = field(default_factory=dict)
    ends: list[tuple[str, float, States]] = field(default_factory=list)
    words: set[str] = field(default_factory=set)

    def towards(self, words: set[str]) -> set[int]:
        """The next pieces on the way to any of these words."""
        return {piece for piece, node in self.next.items() if not words.isdisjoint(node.words)}


class SpeltNetwork:
    """One network: its last state and its steps, which cost `scale` times how unusual they are, in
    nats. Each word may be written small or with a capital; `marks` are what may stand behind it,
    among them the `hyphen`."""

    def __init__(
        self, network: tuple[int, Sequence[Step]], pieces: WordPieces, scale: float
    ) -> None:
        self._last, steps = network
        self._pieces = pieces
        self._silent: dict[int, list[tuple[int, float]]] = defaultdict(list)
        self._spoken: dict[int, list[tuple[int, float, str]]] = defaultdict(list)
        for step in steps:
            cost = scale * float(np.log(step[2]))
            if len(step) == 4:
                self._spoken[step[0]].append((step[1], cost, step[3]))
            else:
                self._silent[step[0]].append((step[1], cost))
        *_, self.hyphen = self.marks = [pieces.of(mark)[0] for mark in ",.-"]
        self._spelt: dict[tuple[str, bool], list[tuple[int, ...]]] = {}
        self._nodes: dict[tuple[States, bool], Node] = {}
        self._costs: dict[States, float | None] = {}

    def next(self, states: States, *, glued: bool) -> Node:
        """All words that may come next; `glued` to a hyphen they have no space before them."""
        if (states, glued) not in self._nodes:
            root = Node()
            for word, (cost, after) in self._words(states).items():
                for pieces in self._spellings(word, glued):
                    node = root
                    for piece in pieces:
                        node = node.next.setdefault(piece, Node())
                        node.words.add(word)
                    node.ends.append((word, cost, after))
            self._nodes[states, glued] = root
        return self._nodes[states, glued]

    def end(self, states: States) -> float | None:
        """What it costs to end here, in nats; None where one cannot."""
        if states not in self._costs:
            self._costs[states] = self._on(states).get(self._last)
        return self._costs[states]

    def _spellings(self, word: str, glued: bool) -> list[tuple[int, ...]]:
        if (word, glued) not in self._spelt:
            spellings = [word] if glued else [SPACE + word, SPACE + word.capitalize()]
            self._spelt[word, glued] = [self._pieces.of(spelling) for spelling in spellings]
        return self._spelt[word, glued]

    def _words(self, states: States) -> dict[str, tuple[float, States]]:
        """Each word that may come next, what it costs, and the states behind it."""
        found: dict[str, dict[int, float]] = defaultdict(dict)
        for state, before in self._on(states).items():
            for after, cost, word in self._spoken.get(state, ()):
                found[word][after] = max(found[word].get(after, -np.inf), before + cost)
        return {word: _levelled(after) for word, after in found.items()}

    def _on(self, states: States) -> dict[int, float]:
        """The states after silent steps, of which one at most is taken."""
        found = dict(states)
        for state, before in states:
            for after, cost in self._silent.get(state, ()):
                found[after] = max(found.get(after, -np.inf), before + cost)
        return found


def _levelled(after: dict[int, float]) -> tuple[float, States]:
    """What the best of some states costs, and what the others cost beside it."""
    best = max(after.values())
    kept = sorted((s, round(c - best, 4)) for s, c in after.items() if c > best - _FAR)
    return best, tuple(kept)
