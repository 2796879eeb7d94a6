"""The tree as an automaton over words, for engines that take a network.

Written as JSGF the same rule is copied wherever it is named; here every shared ending exists once,
which keeps the engine's search small. What stands between the places of `Several` is the smallest
deterministic automaton; their parts are networks of their own (`joining`). Sources, from memory:
Thompson 1968 (tree to network), Rabin and Scott 1959 (subset construction), Mohri 1997 (the same
with weights), Moore 1956 (fewest states by refining a partition).
"""

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from functools import cache
from types import MappingProxyType

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
)

_LEAST = 1e-6
SILENT = ""
"""In the place of a word: a step at which nothing is said."""
Arc = tuple[int, int, str, float]
"""From state, to state, word, and how usual it is (1 for a usual word, less for a rare one)."""
Silent = Mapping[int, Iterable[tuple[float, int]]]
"""The silent steps from each state: how usual, and where to."""


@dataclass(frozen=True, slots=True)
class Weights:
    """How usual things are, 1 for the usual: by the name of a rule, and by word. The first words of
    a rule carry its weight."""

    rules: Mapping[str, float] = field(default_factory=lambda: MappingProxyType({}))
    words: Mapping[str, float] = field(default_factory=lambda: MappingProxyType({}))


@dataclass(frozen=True, slots=True)
class Automaton:
    """States are numbered from 0, the start. An utterance may end in any state of `finals`, which
    gives how usual that end is. The weights along an utterance multiply."""

    states: int
    arcs: tuple[Arc, ...]
    finals: Mapping[int, float]


class Compiler:
    """Compiles trees; the rules that they share, once.

    `free` are the dictionary words that stand for any sound at all where the tree has `Free`;
    without them such branches cannot be finished and are left out. `called` are the places of
    `Several` in what was compiled, by the word that stands for each.
    """

    def __init__(self, free: tuple[str, ...] = (), weights: Weights | None = None) -> None:
        self.free = free
        self.weights = weights or Weights()
        self.called: dict[str, Several] = {}
        self._rules: dict[Rule, Automaton] = {}
        self._names: dict[Several, str] = {}

    def compiled(self, tree: Node) -> Automaton:
        """The smallest deterministic automaton, with one word in the place of each `Several`."""
        network = _Network(self)
        start = network.new()
        end = network.add(tree, start)
        steps, finals = _determined(network, start, end)
        return _smallest(steps, finals)

    def rule(self, rule: Rule) -> Automaton:
        """The part of a rule, compiled."""
        if rule not in self._rules:
            self._rules[rule] = self.compiled(rule.part)
        return self._rules[rule]

    def name(self, several: Several) -> str:
        """The word that stands for it: none that can be said."""
        name = self._names.setdefault(several, f"<several {len(self._names)}>")
        self.called[name] = several
        return name


@dataclass(slots=True)
class _Network:
    """A network with silent steps, as Thompson builds it; each rule is made small before use."""

    compiler: Compiler
    states: int = 0
    silent: dict[int, list[tuple[float, int]]] = field(default_factory=lambda: defaultdict(list))
    spoken: dict[int, list[tuple[str, float, int]]] = field(
        default_factory=lambda: defaultdict(list)
    )

    def new(self) -> int:
        self.states += 1
        return self.states - 1

    def add(self, node: Node, start: int, weight: float = 1.0) -> int:
        """Puts `node` behind `start` and gives the state where it ends."""
        match node:
            case Sequence(parts):
                for part in parts:
                    start = self.add(part, start, weight)
                    weight = weight if _may_be_silent(part) else 1.0
                return start
            case Mark(_, _, part) | Total(_, part):
                return self.add(part, start, weight)
        end, weights = self.new(), self.compiler.weights
        match node:
            case Word(text):
                self._say(text, weight * weights.words.get(text, 1.0), start, end)
            case Choice(options):
                for option in options:
                    self.silent[self.add(option, start, weight)].append((1.0, end))
            case Optional(part):
                self.silent[self.add(part, start, weight)].append((1.0, end))
                self.silent[start].append((1.0, end))
            case Several():
                self._say(self.compiler.name(node), weight, start, end)
            case Free():
                for word in self.compiler.free:
                    self._say(word, 1.0, start, end)
                    self._say(word, 1.0, end, end)
            case Rule(name):
                usual = weight * weights.rules.get(name, 1.0)
                self._copy(self.compiler.rule(node), start, end, usual)
        return end

    def _say(self, word: str, weight: float, start: int, end: int) -> None:
        self.spoken[start].append((word, weight, end))

    def _copy(self, rule: Automaton, start: int, end: int, weight: float) -> None:
        place = [self.new() for _ in range(rule.states)]
        self.silent[start].append((1.0, place[0]))
        for before, after, word, usual in rule.arcs:
            self._say(word, usual if before else usual * weight, place[before], place[after])
        for final, usual in rule.finals.items():
            self.silent[place[final]].append((usual, end))

    def reach(self, state: int, end: int) -> dict[int, float]:
        """Where silent steps lead from `state`, each with its best weight: only states that
        something is said in, or `end`."""
        found = reached(self.silent, state)
        return {s: w for s, w in found.items() if s in self.spoken or s == end}


def reached(silent: Silent, state: int) -> dict[int, float]:
    """Where silent steps lead from a state, each with its best weight; itself too."""
    found, pending = {state: 1.0}, [state]
    while pending:
        here = pending.pop()
        for usual, after in silent.get(here, ()):
            weight = found[here] * usual
            if weight > found.get(after, 0.0):
                found[after] = weight
                pending.append(after)
    return found


def _may_be_silent(node: Node) -> bool:
    match node:
        case Optional():
            return True
        case Sequence(parts):
            return all(_may_be_silent(part) for part in parts)
        case Choice(options):
            return any(_may_be_silent(option) for option in options)
        case Mark(_, _, part) | Total(_, part) | Rule(_, part):
            return _may_be_silent(part)
        case _:
            return False


Steps = list[dict[str, tuple[float, int]]]
"""For each state, the words that may follow, each with its weight and the state it leads to."""


def _determined(network: _Network, start: int, end: int) -> tuple[Steps, dict[int, float]]:
    """One state for each set of network states that the same words lead to, each with the weight
    that is still owed there (Mohri 1997)."""
    reach = cache(lambda state: network.reach(state, end))
    first = frozenset(reach(start).items())
    numbers, pending = {first: 0}, [first]
    steps: Steps = []
    finals: dict[int, float] = {}
    for states in pending:
        targets: dict[str, dict[int, float]] = defaultdict(dict)
        for state, owed in states:
            if state == end:
                finals[numbers[states]] = owed
            for word, weight, after in network.spoken.get(state, ()):
                target = targets[word]
                for reached, usual in reach(after).items():
                    target[reached] = max(target.get(reached, 0.0), owed * weight * usual)
        step = {}
        for word, target in targets.items():
            best = max(target.values(), default=1.0)
            key = frozenset((s, max(_LEAST, round(w / best, 9))) for s, w in target.items())
            if key not in numbers:
                numbers[key] = len(numbers)
                pending.append(key)
            step[word] = (round(best, 9), numbers[key])
        steps.append(step)
    return steps, finals


def _smallest(steps: Steps, finals: dict[int, float]) -> Automaton:
    useful = _useful(steps, finals)
    kept = [{w: (p, s) for w, (p, s) in step.items() if s in useful} for step in steps]
    ends = {weight: k for k, weight in enumerate(sorted({0.0, *finals.values()}))}
    block = {state: ends[finals.get(state, 0.0)] for state in useful | {0}}
    count = len(set(block.values()))
    while True:
        signs = {
            s: (b, frozenset((w, p, block[t]) for w, (p, t) in kept[s].items()))
            for s, b in block.items()
        }
        order: dict[object, int] = {signs[0]: 0}
        for state in sorted(block):
            order.setdefault(signs[state], len(order))
        block = {state: order[signs[state]] for state in block}
        if len(order) == count:
            break
        count = len(order)
    arcs = {(block[s], block[t], w, p) for s in block for w, (p, t) in kept[s].items()}
    return Automaton(count, tuple(sorted(arcs)), {block[s]: w for s, w in finals.items()})


def _useful(steps: Steps, finals: Iterable[int]) -> set[int]:
    """The states from which an utterance can still come to its end."""
    before: dict[int, set[int]] = defaultdict(set)
    for state, step in enumerate(steps):
        for _, after in step.values():
            before[after].add(state)
    found, pending = set(finals), list(finals)
    while pending:
        for state in before[pending.pop()] - found:
            found.add(state)
            pending.append(state)
    return found
