"""The shape of everything that can be said, as one small tree.

The same tree is matched against words (`parse`), written as JSGF (`jsgf`), cut into phrases for a
phrase list (`pieces`) and walked at random to make sentences (`samples`).
"""

from collections.abc import Callable, Iterator
from dataclasses import dataclass

Value = str | int


@dataclass(frozen=True, slots=True)
class Word:
    """One word, in lower case, as the recogniser's dictionary spells it."""

    text: str


@dataclass(frozen=True, slots=True)
class Sequence:
    """All parts, one after the other."""

    parts: tuple["Node", ...]


@dataclass(frozen=True, slots=True)
class Choice:
    """Exactly one of the options."""

    options: tuple["Node", ...]


@dataclass(frozen=True, slots=True)
class Optional:
    """The part or nothing."""

    part: "Node"


@dataclass(frozen=True, slots=True)
class Several:
    """One or more of the parts in any order, `between` before each of them. The first `once` parts
    are said at most once, the others any number of times."""

    between: "Node"
    parts: tuple["Node", ...]
    once: int = 0

    def after(self, place: int) -> "Several":
        """What may still follow when the part at this place was said."""
        if place >= self.once:
            return self
        parts = (*self.parts[:place], *self.parts[place + 1 :])
        return Several(self.between, parts, self.once - 1)


@dataclass(frozen=True, slots=True)
class Mark:
    """The part; saying it gives `slot` the `value`."""

    slot: str
    value: Value
    part: "Node"


@dataclass(frozen=True, slots=True)
class Total:
    """The part; `slot` gets the sum of the numbers marked inside it."""

    slot: str
    part: "Node"


@dataclass(frozen=True, slots=True)
class Free:
    """Any words at all, at least one, kept in `slot` as text."""

    slot: str


@dataclass(frozen=True, slots=True)
class Rule:
    """The part under a name of its own, so that written grammars stay short."""

    name: str
    part: "Node"


Node = Word | Sequence | Choice | Optional | Several | Mark | Total | Free | Rule


@dataclass(frozen=True, slots=True)
class Binding:
    """A slot with its value and the words that gave it: `words[start:end]`."""

    slot: str
    value: Value
    start: int
    end: int


Match = tuple[int, tuple[Binding, ...]]
"""Where a match ends, and what it bound on the way."""


def phrase(text: str) -> Node:
    """The words of `text` one after the other."""
    words = tuple(Word(word) for word in text.lower().split())
    return words[0] if len(words) == 1 else Sequence(words)


def one_of(texts: tuple[str, ...] | list[str]) -> Node:
    """Any one of the phrases."""
    options = tuple(phrase(text) for text in texts)
    return options[0] if len(options) == 1 else Choice(options)


def match(tree: Node, words: tuple[str, ...], start: int = 0) -> Iterator[Match]:
    """Every way in which the tree fits the words from `start` on."""
    match tree:
        case Word(text):
            if start < len(words) and words[start] == text:
                yield start + 1, ()
        case Rule(_, part):
            yield from match(part, words, start)
        case Choice(options):
            for option in options:
                yield from match(option, words, start)
        case Optional(part):
            yield from match(part, words, start)
            yield start, ()
        case Sequence(parts):
            yield from _match_in_order(parts, words, start)
        case Several():
            yield from _match_several(tree, words, start)
        case Free(slot):
            for end in range(len(words), start, -1):
                yield end, (Binding(slot, " ".join(words[start:end]), start, end),)
        case Mark(slot, value, part):
            for end, found in match(part, words, start):
                yield end, (*found, Binding(slot, value, start, end))
        case Total(slot, part):
            for end, found in match(part, words, start):
                total = sum(b.value for b in found if isinstance(b.value, int))
                yield end, (Binding(slot, total, start, end),)


def _match_in_order(parts: tuple[Node, ...], words: tuple[str, ...], start: int) -> Iterator[Match]:
    if not parts:
        yield start, ()
        return
    for end, found in match(parts[0], words, start):
        for last, more in _match_in_order(parts[1:], words, end):
            yield last, found + more


def _match_several(several: Several, words: tuple[str, ...], start: int) -> Iterator[Match]:
    for place, part in enumerate(several.parts):
        for end, found in _match_in_order((several.between, part), words, start):
            if end > start:
                yield end, found
                for last, more in match(several.after(place), words, end):
                    yield last, found + more


def spell(node: Node) -> Iterator[str]:
    """Every phrase the node stands for; of Several each part alone, Free not at all."""
    if isinstance(node, Word):
        yield node.text
    elif isinstance(node, Rule | Mark | Total):
        yield from spell(node.part)
    elif isinstance(node, Several):
        yield from _spell_in_order((node.between, Choice(node.parts)))
    elif isinstance(node, Choice):
        for option in node.options:
            yield from spell(option)
    elif isinstance(node, Optional):
        yield ""
        yield from spell(node.part)
    elif isinstance(node, Sequence):
        yield from _spell_in_order(node.parts)


def _spell_in_order(parts: tuple[Node, ...]) -> Iterator[str]:
    if not parts:
        yield ""
        return
    for head in spell(parts[0]):
        for tail in _spell_in_order(parts[1:]):
            yield f"{head} {tail}".strip()


def sample(node: Node, choose: Callable[[int], int]) -> tuple[str, ...]:
    """One sentence. `choose(n)` picks a number below n, so the caller owns the randomness."""
    if isinstance(node, Word):
        return (node.text,)
    if isinstance(node, Choice):
        return sample(node.options[choose(len(node.options))], choose)
    if isinstance(node, Optional):
        return sample(node.part, choose) if choose(2) else ()
    if isinstance(node, Sequence):
        return tuple(word for part in node.parts for word in sample(part, choose))
    if isinstance(node, Several):
        place = choose(len(node.parts))
        said = sample(node.between, choose) + sample(node.parts[place], choose)
        left = node.after(place)
        return said + (sample(left, choose) if left.parts and choose(3) == 0 else ())
    if isinstance(node, Free):
        return ("word",)
    return sample(node.part, choose)


def vocabulary(node: Node) -> frozenset[str]:
    """All words that occur in the node; parts that stand in several places are looked at once."""
    words: set[str] = set()
    seen: set[int] = set()
    pending = [node]
    while pending:
        here = pending.pop()
        if id(here) in seen:
            continue
        seen.add(id(here))
        match here:
            case Word(text):
                words.add(text)
            case Sequence(nodes) | Choice(nodes):
                pending += nodes
            case Several():
                pending += (here.between, *here.parts)
            case Free():
                pass
            case _:
                pending.append(here.part)
    return frozenset(words)


def free_branches(node: Node) -> Node | None:
    """Only what leads to free words, such as "note" and what follows; None when nothing does."""
    match node:
        case Free():
            return node
        case Choice(options):
            kept = tuple(branch for o in options if (branch := free_branches(o)) is not None)
            return Choice(kept) if kept else None
        case Sequence(parts):
            return node if any(free_branches(part) is not None for part in parts) else None
        case Rule(_, part) | Mark(_, _, part):
            return node if free_branches(part) is not None else None
        case _:
            return None
