"""The tree cut into the short phrases that a phrase list is made of.

An engine with a phrase list puts the pieces together in any order; the parser is the gatekeeper.
"""

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
    spell,
)


def pieces(tree: Node) -> tuple[str, ...]:
    """Every phrase that fills one slot, and every word between them; sorted, without repeats."""
    return tuple(sorted(set(_pieces(tree))))


def _pieces(node: Node) -> list[str]:
    match node:
        case Mark() | Total() if _is_small(node):
            return [text for text in spell(node) if text]
        case Sequence(nodes) | Choice(nodes):
            return [text for part in nodes for text in _pieces(part)]
        case Several():
            return [text for part in (node.between, *node.parts) for text in _pieces(part)]
        case Optional(part) | Rule(_, part) | Mark(_, _, part) | Total(_, part):
            return _pieces(part)
        case Free():
            return []
        case _:
            return list(spell(node))


def _is_small(node: Node) -> bool:
    """Whether a node fills one slot itself, rather than holding marks of other slots."""
    match node:
        case Total():
            return True
        case Mark(_, _, part):
            return not _holds_marks(part)
        case _:
            return False


def _holds_marks(node: Node) -> bool:
    match node:
        case Mark() | Total() | Several() | Free():
            return True
        case Sequence(nodes) | Choice(nodes):
            return any(_holds_marks(part) for part in nodes)
        case Optional(part) | Rule(_, part):
            return _holds_marks(part)
        case _:
            return False
