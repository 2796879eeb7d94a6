"""The places of a tree: phrases that can stand in the same place of a sentence, with meanings."""

from collections.abc import Iterator, Sequence

from voicelog.grammar.template import (
    Choice,
    Free,
    Mark,
    Node,
    Optional,
    Rule,
    Several,
    Total,
    Value,
    Word,
)
from voicelog.grammar.template import Sequence as InOrder

Meaning = frozenset[tuple[str, Value]]
Phrase = tuple[tuple[str, ...], Meaning]
_MOST_PHRASES = 1500
"""A part of the tree with more phrases than this is looked at piece by piece."""


def places(trees: Sequence[Node]) -> list[list[Phrase]]:
    """Lists of phrases, each the alternatives of one place, none twice.

    Words that may be left out count among the alternatives; free words do not.
    """
    known: dict[frozenset[Phrase], list[Phrase]] = {}
    seen: set[int] = set()
    for tree in trees:
        for phrases in _walk(tree, seen):
            known.setdefault(frozenset(phrases), phrases)
    return list(known.values())


def _walk(node: Node, seen: set[int]) -> Iterator[list[Phrase]]:
    if id(node) in seen:
        return
    seen.add(id(node))
    match node:
        case Choice(options) | Several(_, options):
            small = [phrases for o in _flat(options) if (phrases := phrases_of(o)) is not None]
            yield [phrase for phrases in small for phrase in phrases]
            parts: tuple[Node, ...] = tuple(o for o in options if phrases_of(o) is None)
            parts += (node.between,) if isinstance(node, Several) else ()
        case InOrder() | Total() if (whole := phrases_of(node)) is not None:
            yield whole
            parts = ()
        case InOrder(parts):
            pass
        case Optional(part) | Rule(_, part) | Mark(_, _, part) | Total(_, part):
            parts = (part,)
        case _:
            parts = ()
    for part in parts:
        yield from _walk(part, seen)


def _flat(options: tuple[Node, ...]) -> Iterator[Node]:
    for option in options:
        if isinstance(option, Choice):
            yield from _flat(option.options)
        else:
            yield option


def phrases_of(node: Node) -> list[Phrase] | None:
    """All phrases of a node with their meanings, or None when there are too many or any words."""
    match node:
        case Word(text):
            return [((text,), frozenset())]
        case Rule(_, part):
            return phrases_of(part)
        case Optional(part):
            found = phrases_of(part)
            return None if found is None else [((), frozenset()), *found]
        case Mark(slot, value, part):
            found = phrases_of(part)
            return None if found is None else [(w, m | {(slot, value)}) for w, m in found]
        case Total(slot, part):
            found = phrases_of(part)
            return None if found is None else [(w, _total(slot, m)) for w, m in found]
        case Choice(options):
            return _joined(options)
        case InOrder(parts):
            return _in_order(parts)
        case Several(between, options):
            return _in_order((between, Choice(options)))
        case Free():
            return None


def _total(slot: str, meaning: Meaning) -> Meaning:
    return frozenset({(slot, sum(value for _, value in meaning if isinstance(value, int)))})


def _joined(options: tuple[Node, ...]) -> list[Phrase] | None:
    found: list[Phrase] = []
    for option in options:
        more = phrases_of(option)
        if more is None or len(found) + len(more) > _MOST_PHRASES:
            return None
        found += more
    return found


def _in_order(parts: tuple[Node, ...]) -> list[Phrase] | None:
    found: list[Phrase] = [((), frozenset())]
    for part in parts:
        more = phrases_of(part)
        if more is None or len(found) * len(more) > _MOST_PHRASES:
            return None
        found = [(w + x, m | n) for w, m in found for x, n in more]
    return found
