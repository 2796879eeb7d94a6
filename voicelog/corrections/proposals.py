"""Changes that wait for their affirmation: what an entry would hold, shown before and after."""

from dataclasses import dataclass

from voicelog.corrections.alternatives import Alternative, alternatives
from voicelog.corrections.changes import before_last_change, missing
from voicelog.corrections.history import Slot, differences
from voicelog.corrections.look import Look
from voicelog.corrections.reasons import kept_reason
from voicelog.corrections.room import Room
from voicelog.corrections.typed import Typed
from voicelog.dialogue import prompts
from voicelog.errors import StoreError
from voicelog.records.content import AnyContent, Note, Trial
from voicelog.telling.refusals import refusal

MOST_PICKS = 9
"""Alternatives that a number key can take."""
LONGEST_LINE = 500


@dataclass(frozen=True, slots=True)
class Proposal:
    """What would be kept. `content` is None when nothing was read in what was typed.

    `missing` are slots without which it cannot be affirmed; `unusual` is a sentence where the
    range is one that few people reach.
    """

    content: AnyContent | None
    why: str
    changed: tuple[Slot, ...]
    read_back: str
    missing: tuple[str, ...]
    unusual: str
    typed: Typed | None = None


def picks(room: Room, look: Look) -> tuple[Alternative, ...]:
    """The alternatives that can be taken by their number, from 1."""
    return () if look.gone else alternatives(look.shown, room.house.phrases)[:MOST_PICKS]


def pick(room: Room, look: Look, number: str) -> Proposal:
    """The alternative of that number. Raises StoreError when there is none."""
    numbered = {str(n): other for n, other in enumerate(picks(room, look), start=1)}
    if number not in numbered:
        raise refusal(StoreError, "no alternative", room.house.language, number=number[:20])
    other = numbered[number]
    return proposal(room, look, other.content, kept_reason("heard as", other.text))


def read(room: Room, look: Look, line: str) -> Proposal:
    """What a typed line changes of the entry."""
    typed = room.read(line[:LONGEST_LINE], look.shown.content)
    return proposal(room, look, typed.content, kept_reason("typed", typed.line), typed)


def read_new(room: Room, line: str) -> Proposal:
    """A new record from a typed line: one that was found in a note, or a note of its own, which is
    as it was typed and has no sound to be compared with."""
    typed = room.read(line[:LONGEST_LINE], None)
    if isinstance(typed.content, Note):
        note = typed.content.model_copy(update={"checked": True})
        return proposal(room, None, note, kept_reason("typed at the keyboard"), typed)
    why = kept_reason("found in a note", typed.line)
    return proposal(room, None, typed.content, why, typed)


def undo(room: Room, look: Look) -> Proposal:
    """The content before the last change. Raises StoreError when there was none."""
    earlier = before_last_change(look.history)
    if earlier is None:
        raise refusal(StoreError, "no change", room.house.language)
    why = kept_reason("back to version", earlier.version)
    return proposal(room, look, earlier.content, why)


def proposal(
    room: Room, look: Look | None, content: AnyContent | None, why: str, typed: Typed | None = None
) -> Proposal:
    """The content as a change of the entry, or as a new record when there is none."""
    if content is None:
        return Proposal(None, why, (), "", (), "", typed)
    language = room.house.language
    return Proposal(
        content=content,
        why=why,
        changed=differences(look.shown.content, content, language) if look else (),
        read_back=prompts.read_back(language, content),
        missing=missing(language, content),
        unusual=_unusual(room, content),
        typed=typed,
    )


def _unusual(room: Room, content: AnyContent) -> str:
    if not isinstance(content, Trial):
        return ""
    low, high = room.house.plausible.get((content.joint or "", content.motion or ""), (0, 180))
    unusual = [f"{angle}°" for angle in content.angles if not low <= angle <= high]
    text = room.house.language.texts.corrections
    return text.unusual.format(angles=text.both.join(unusual)) if unusual else ""
