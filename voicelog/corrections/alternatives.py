"""What else the same sound may have meant: an entry's content under each other reading of it."""

from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache

from voicelog.dialogue import draft as drafts
from voicelog.grammar.hypothesis import Expect
from voicelog.grammar.language import LanguageData
from voicelog.grammar.parse import Intent, parse
from voicelog.grammar.phrases import Phrases
from voicelog.records.content import AnyContent, Trial
from voicelog.records.entry import Entry


@dataclass(frozen=True, slots=True)
class Alternative:
    """Another reading: its words, and what the entry would hold."""

    text: str
    content: AnyContent


def alternatives(entry: Entry, phrases: Phrases) -> tuple[Alternative, ...]:
    """The other readings that mean something else, best first, each content once.

    Only the slots in which a reading differs from what was taken are changed, so that what was
    carried over or corrected since stays.
    """
    found: dict[AnyContent, Alternative] = {}
    for text, content in _other_readings(entry, phrases):
        if content != entry.content:
            found.setdefault(content, Alternative(text, content))
    return tuple(found.values())


def _other_readings(entry: Entry, phrases: Phrases) -> Iterator[tuple[str, AnyContent]]:
    for evidence in reversed(entry.evidence):
        for expect in phrases.trees if evidence.alternatives else ():
            taken = _meaning(phrases, expect, evidence.text)
            if taken is None:
                continue
            for text in evidence.alternatives:
                other = _meaning(phrases, expect, text)
                if other is not None:
                    content = _under(other, taken, entry.content, phrases.language)
                    if content is not None:
                        yield text, content
            break


@lru_cache(maxsize=8192)
def _meaning(phrases: Phrases, expect: Expect, text: str) -> Intent | None:
    """What words mean. A long visit has a thousand readings, which are asked for at every look."""
    return parse(phrases.trees[expect], tuple(text.split()))


def _under(
    other: Intent, taken: Intent, content: AnyContent, language: LanguageData
) -> AnyContent | None:
    """The content with what `other` says in place of what `taken` said; None for a command."""
    alike = (other.kind, other.command) == (taken.kind, taken.command)
    if not alike or other.kind not in ("command", content.kind):
        if other.kind == "command":
            return None
        return drafts.begin(other, content if isinstance(content, Trial) else None, language)
    if other.kind == "note" or not drafts.fits(content, other.slots):
        return None
    kept = {slot for slot, value in taken.slots.items() if other.slots.get(slot) == value}
    for slot in taken.slots:
        if slot not in other.slots:
            content = without(content, slot)
    changed = {slot: value for slot, value in other.slots.items() if slot not in kept}
    return drafts.change(content, changed, language)


def without(content: AnyContent, slot: str) -> AnyContent:
    """The content without what the slot said, and without what followed from it."""
    if isinstance(content, Trial) and slot == "outcome" and content.outcome == "pain free rep":
        return content.model_copy(update={"outcome": None, "pain": None})
    return drafts.clear(content, slot)
