"""The tree written in JSGF (Java Speech Grammar Format 1.0), for engines that take a grammar."""

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

FREE_RULE = "free"
PUBLIC_RULE = "said"
"""A name that no rule of the tree has: two rules of one name would be one for the reader."""


def to_jsgf(name: str, tree: Node, free: tuple[str, ...] = ()) -> str:
    """The grammar `name` with one public rule, `PUBLIC_RULE`.

    `free` are the dictionary words that stand for any sound at all where the tree has `Free`
    (for instance one word for each phone); without them such branches are left out.
    Source: JSpeech Grammar Format, W3C Note 5 June 2000.
    """
    rules: dict[str, str] = {}
    body = _write(tree, rules, bool(free))
    lines = ["#JSGF V1.0 UTF-8;", f"grammar {name};", f"public <{PUBLIC_RULE}> = {body};"]
    lines += [f"<{rule}> = {text};" for rule, text in rules.items()]
    if free:
        lines.append(f"<{FREE_RULE}> = ( {' | '.join(free)} )+;")
    return "\n".join(lines) + "\n"


def _write(node: Node, rules: dict[str, str], free: bool) -> str:
    match node:
        case Word(text):
            return text
        case Sequence(parts):
            return " ".join(_write(part, rules, free) for part in parts)
        case Choice(options):
            written = [_write(o, rules, free) for o in options if free or not _needs_free(o)]
            return f"( {' | '.join(written)} )"
        case Optional(part):
            return f"[ {_write(part, rules, free)} ]"
        case Several():  # JSGF has no words for "at most once": it allows a little more
            part = Sequence((node.between, Choice(node.parts)))
            return f"( {_write(part, rules, free)} )+"
        case Mark(_, _, part) | Total(_, part):
            return _write(part, rules, free)
        case Free():
            return f"<{FREE_RULE}>"
        case Rule(name, part):
            if name not in rules:
                rules[name] = ""  # holds the place, so that rules stand in reading order
                rules[name] = _write(part, rules, free)
            return f"<{name}>"


def _needs_free(node: Node) -> bool:
    match node:
        case Free():
            return True
        case Sequence(parts):
            return any(_needs_free(part) for part in parts)
        case Mark(_, _, part) | Rule(_, part):
            return _needs_free(part)
        case _:
            return False
