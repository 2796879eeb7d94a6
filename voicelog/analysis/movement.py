"""Which movement a record is about, and whether two records were taken in the same way."""

from typing import NamedTuple

from voicelog.records.content import Side, Trial
from voicelog.records.entry import Entry


class Movement(NamedTuple):
    """A joint's motion on one side. For the spine, `side` is the direction of the motion."""

    side: Side | None
    joint: str
    motion: str


class Manner(NamedTuple):
    """How a value was taken. Values taken in different ways do not compare."""

    manner: str | None
    position: str | None
    instrument: str | None
    onset: bool
    """Whether the angle where pain starts was taken."""
    end: bool
    """Whether the angle at the end of the range was taken."""


class Reading(NamedTuple):
    """An entry that holds a trial, with what is often asked of it at hand."""

    id: str
    """The entry's id: the evidence of every result."""
    entry: Entry
    trial: Trial
    movement: Movement
    manner: Manner
    pain: int | None
    """Pain, 0-10; a pain-free repetition without a number is a 0."""


def reading_of(entry: Entry) -> Reading | None:
    """The reading in an entry; None when it holds no trial, or its joint or motion is not known."""
    trial = entry.content
    if not isinstance(trial, Trial) or trial.joint is None or trial.motion is None:
        return None
    pain = trial.pain
    if pain is None and trial.outcome == "pain free rep":
        pain = 0
    return Reading(
        entry.entry_id,
        entry,
        trial,
        Movement(trial.side, trial.joint, trial.motion),
        Manner(
            trial.manner,
            trial.position,
            trial.instrument,
            trial.onset_deg is not None,
            trial.range_deg is not None,
        ),
        pain,
    )


def compatible(one: str | None, other: str | None) -> bool:
    """Whether two slots may mean the same: equal, or one of them was not said."""
    return one is None or other is None or one == other


def pain_comparable(one: Manner, other: Manner) -> bool:
    """Whether pain taken in these two ways compares: same manner and position, as far as said."""
    return compatible(one.manner, other.manner) and compatible(one.position, other.position)


def range_comparable(one: Manner, other: Manner) -> bool:
    """Whether angles compare: as for pain, and same instrument, and the same angle was taken."""
    return (
        pain_comparable(one, other)
        and compatible(one.instrument, other.instrument)
        and ((one.end and other.end) or (one.onset and other.onset))
    )
