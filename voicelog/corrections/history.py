"""What changed from version to version: before and after, who, when and why."""

from dataclasses import dataclass
from datetime import datetime

from voicelog.records.content import AnyContent
from voicelog.records.entry import Entry

LABELS = {
    "movement": "Movement",
    "joint": "Joint",
    "motion": "Motion",
    "side": "Side",
    "phase": "Trial",
    "range_deg": "Range, degrees",
    "onset_deg": "Pain starts, degrees",
    "pain": "Pain, 0 to 10",
    "quality": "Quality",
    "end_feel": "End feel",
    "outcome": "Outcome",
    "manner": "Manner",
    "position": "Position",
    "instrument": "Measured with",
    "by_default": "By default of the practice",
    "name": "Name",
    "sets": "Sets",
    "reps": "Repetitions",
    "hold_s": "Hold, seconds",
    "band": "Band",
    "tempo": "Tempo",
    "plane": "Plane",
    "direction": "Direction",
    "effort": "Effort, 0 to 10",
    "text": "Text",
    "checked": "Compared with its sound",
    "kind": "Kind",
    "result": "Pain, range or another result",
}
"""What a slot is called for people."""
STATUS = {
    "unconfirmed": "proposed",
    "confirmed": "affirmed",
    "dropped": "discarded",
    "withdrawn": "taken out",
}
"""What happened with a version, for people."""


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


def steps(history: tuple[Entry, ...]) -> tuple[Step, ...]:
    """All versions, newest first."""
    found = []
    for before, after in zip((None, *history), history, strict=False):
        changed = differences(before.content, after.content) if before else ()
        done = STATUS[after.status]
        if after.affirmed is not None:
            done = {"voice": "affirmed by voice", "key": "affirmed by key"}.get(
                after.affirmed.by, "affirmed at the desk"
            )
        found.append(Step(after.version, done, after.by, after.at, after.why, changed))
    return tuple(reversed(found))


def differences(before: AnyContent, after: AnyContent) -> tuple[Slot, ...]:
    """The slots in which two contents differ."""
    old, new = before.model_dump(), after.model_dump()
    return tuple(
        Slot(LABELS[name].split(",")[0], in_words(old.get(name)), in_words(new.get(name)))
        for name in dict.fromkeys((*old, *new))
        if old.get(name) != new.get(name)
    )


def in_words(value: object) -> str:
    """A value of a slot for people; a dash for none."""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, tuple | list):
        return ", ".join(map(str, value)) or "–"
    return "–" if value in (None, "") else str(value)
