"""From words to what they mean. The gatekeeper: what the tree does not allow means nothing."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType
from typing import Literal, cast

from voicelog.grammar.template import Binding, Node, Value, match

Kind = Literal["record", "drill", "fault", "cue", "note", "command"]
SlotValue = Value | tuple[str, ...]
KIND, COMMAND = "kind", "command"
"""Slots that every tree fills: what an utterance is, and which command."""
MANY = frozenset({"quality"})
"""Slots that may be said more than once; their value is a tuple in the order said."""


@dataclass(frozen=True, slots=True)
class Intent:
    """What an utterance means.

    `slots` holds only what was said. `spans` gives, for each slot, the words `[start, end)` that
    said it. `command` names the command when `kind` is "command".
    """

    kind: Kind
    slots: Mapping[str, SlotValue] = field(default_factory=lambda: MappingProxyType({}))
    spans: Mapping[str, tuple[int, int]] = field(default_factory=lambda: MappingProxyType({}))
    command: str | None = None


def parse(tree: Node, words: tuple[str, ...]) -> Intent | None:
    """The meaning of all the words, or None when the tree does not allow them.

    A slot said twice with different values means nothing: she must have been misheard.
    """
    for end, bindings in match(tree, words):
        if end == len(words):
            intent = _intent(bindings)
            if intent is not None:
                return intent
    return None


def _intent(bindings: tuple[Binding, ...]) -> Intent | None:
    slots: dict[str, SlotValue] = {}
    spans: dict[str, tuple[int, int]] = {}
    for b in bindings:
        known = slots.get(b.slot)
        if b.slot in MANY:
            before = known if isinstance(known, tuple) else ()
            slots[b.slot] = before if b.value in before else (*before, str(b.value))
        elif known is not None and known != b.value:
            return None
        else:
            slots[b.slot] = b.value
        first = spans.get(b.slot, (b.start, b.end))[0]
        spans[b.slot] = (first, b.end)
    kind, command = slots.pop(KIND), slots.pop(COMMAND, None)
    for opening in (KIND, COMMAND):
        spans.pop(opening, None)
    return Intent(
        kind=cast(Kind, kind),
        slots=MappingProxyType(slots),
        spans=MappingProxyType(spans),
        command=None if command is None else str(command),
    )
