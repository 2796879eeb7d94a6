"""A tree as one network, with a network of its own in each place where parts come in any order.

What was said already decides what may still be said, so there is a state for each of the sets of
parts that are said at most once. Copied into one deterministic automaton, every one of the many
states behind a part would lead on to the first words of all parts; here they meet in one state.
"""

from voicelog.grammar.automaton import SILENT, Arc, Automaton, Compiler
from voicelog.grammar.template import Choice, Node, Sequence, Several, Word

_SAID = "<said {}>"
"""Stands behind a part, so that it is known which one was said."""


def joined(compiler: Compiler, tree: Node) -> Automaton:
    """The automaton of a tree, with silent steps."""
    return _Joining(compiler).join(compiler.compiled(tree))


class _Joining:
    def __init__(self, compiler: Compiler) -> None:
        self._compiler = compiler
        self._states = 0
        self._arcs: list[Arc] = []
        self._starts: dict[tuple[Several, int], int] = {}

    def join(self, network: Automaton) -> Automaton:
        self._states = network.states
        for before, after, word, usual in network.arcs:
            several = self._compiler.called.get(word)
            if several is None:
                self._arcs.append((before, after, word, usual))
            else:
                self._arcs.append((before, self._start(several, after), SILENT, usual))
        return Automaton(self._states, tuple(sorted(self._arcs)), network.finals)

    def _start(self, several: Several, after: int) -> int:
        """The state from which one part is said and then more, or on to the state `after`."""
        if (several, after) not in self._starts:
            self._starts[several, after] = self._states
            self._add(several, after)
        return self._starts[several, after]

    def _add(self, several: Several, after: int) -> None:
        said = [Word(_SAID.format(place)) for place in range(len(several.parts))]
        parts = [Sequence(pair) for pair in zip(several.parts, said, strict=True)]
        network = self._compiler.compiled(Sequence((several.between, Choice(tuple(parts)))))
        first = self._states
        self._states += network.states
        places = {word.text: place for place, word in enumerate(said)}
        for before, end, word, usual in network.arcs:
            if word not in places:
                self._arcs.append((first + before, first + end, word, usual))
                continue
            self._arcs.append((first + before, after, SILENT, usual))
            left = several.after(places[word])
            if left.parts:
                self._arcs.append((first + before, self._start(left, after), SILENT, usual))
