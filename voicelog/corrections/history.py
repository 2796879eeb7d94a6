"""What changed from version to version: before and after, who, when and why."""

from dataclasses import dataclass
from datetime import datetime

from voicelog.corrections.reasons import reason_words
from voicelog.grammar.language import LanguageData
from voicelog.records.content import AnyContent
from voicelog.records.entry import Entry
from voicelog.telling.slots import label, value_words

_DONE = {
    "unconfirmed": "proposed",
    "confirmed": "affirmed",
    "dropped": "discarded",
    "withdrawn": "taken out",
}
_BY = {"voice": "affirmed by voice", "key": "affirmed by key", "desk": "affirmed at the desk"}


@dataclass(frozen=True, slots=True)
class Slot:
    """One slot before and after."""

    label: str
    before: str
    after: str


@dataclass(frozen=True, slots=True)
class Step:
    """One version, and what it changed of the one before."""

    number: int
    done: str
    by: str
    at: datetime
    why: str
    changed: tuple[Slot, ...]


def steps(history: tuple[Entry, ...], language: LanguageData) -> tuple[Step, ...]:
    """All versions, newest first."""
    found = []
    for before, after in zip((None, *history), history, strict=False):
        changed = differences(before.content, after.content, language) if before else ()
        done, why = done_words(after, language), reason_words(after.why, language)
        found.append(Step(after.version, done, after.by, after.at, why, changed))
    return tuple(reversed(found))


def done_words(version: Entry, language: LanguageData) -> str:
    """What happened with a version, for people."""
    by = version.affirmed.by if version.affirmed else ""
    return language.texts.corrections.done[_BY.get(by, _DONE[version.status])]


def differences(before: AnyContent, after: AnyContent, language: LanguageData) -> tuple[Slot, ...]:
    """The slots in which two contents differ."""
    old, new = before.model_dump(), after.model_dump()
    return tuple(
        Slot(
            label(name, language).split(",")[0],
            value_words(name, old.get(name), language, before.kind),
            value_words(name, new.get(name), language, after.kind),
        )
        for name in dict.fromkeys((*old, *new))
        if old.get(name) != new.get(name)
    )
