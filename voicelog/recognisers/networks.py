"""The networks that PocketSphinx searches: one for each branch of each tree, compiled once."""

from collections import defaultdict
from collections.abc import Mapping

from voicelog.grammar.automaton import SILENT, Automaton, Compiler, Weights, reached
from voicelog.grammar.hypothesis import Expect
from voicelog.grammar.joining import joined
from voicelog.grammar.template import Choice, Node, free_branches
from voicelog.recognisers.lexicon import PHONES
from voicelog.recognisers.network_cache import NetworkCache

USUAL_SCALE = 8.0
"""Power on the weights of the language: the engine's acoustic scores overstate what they know."""
PHONE = "@"
"""Before a phone, the word that is just this phone."""
Step = tuple[int, int, float] | tuple[int, int, float, str]
"""From state, to state, weight and, unless it is silent, word."""


class Networks:
    """The networks of some trees. Branches that several trees share are compiled once."""

    def __init__(self, trees: Mapping[Expect, Node], weights: Weights, cache: NetworkCache) -> None:
        self._trees = trees
        self._weights = weights
        self._cache = cache
        self._compiler = Compiler(weights=weights)
        self._branches: dict[int, Automaton] = {}
        for expect in trees:
            self.of(expect)

    def of(self, expect: Expect) -> list[Automaton]:
        """All branches without free words of what may be said while `expect` is awaited."""
        return [self._branch(branch, ()) for branch in _branches(self._trees[expect])]

    def notes(self, expect: Expect) -> Automaton | None:
        """The branch with free words, where any phones stand for them; None when there is none."""
        branch = free_branches(self._trees[expect])
        phones = tuple(PHONE + phone for phone in PHONES)
        return None if branch is None else self._branch(branch, phones)

    def _branch(self, part: Node, free: tuple[str, ...]) -> Automaton:
        if id(part) not in self._branches:
            compiler = Compiler(free, self._weights) if free else self._compiler
            self._branches[id(part)] = self._cache.get(
                (part, free, dict(self._weights.rules), dict(self._weights.words)),
                lambda: joined(compiler, part),
            )
        return self._branches[id(part)]


def side_by_side(branches: list[Automaton]) -> tuple[int, list[Step]]:
    """One network over all the branches, joined by silent steps: its last state and its steps; it
    starts in state 0."""
    last = 1 + sum(network.states for network in branches)
    spoken: list[Step] = []
    silent: dict[int, list[tuple[float, int]]] = defaultdict(list)
    first = 1
    for network in branches:
        silent[0].append((1.0, first))
        for before, after, word, usual in network.arcs:
            if word == SILENT:
                silent[first + before].append((usual**USUAL_SCALE, first + after))
            else:
                spoken.append((first + before, first + after, usual**USUAL_SCALE, word))
        for final, usual in network.finals.items():
            silent[first + final].append((usual**USUAL_SCALE, last))
        first += network.states
    # The engine takes one silent step at a time and no two in a row.
    quiet = [
        (state, after, usual)
        for state in tuple(silent)
        for after, usual in reached(silent, state).items()
        if after != state
    ]
    return last, [*spoken, *quiet]


def _branches(tree: Node) -> tuple[Node, ...]:
    """The alternatives at the top of a tree, without those that need free words."""
    if isinstance(tree, Choice):
        return tuple(branch for option in tree.options for branch in _branches(option))
    return () if free_branches(tree) is not None else (tree,)
