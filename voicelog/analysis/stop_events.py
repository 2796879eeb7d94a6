"""What was put on record after a stop event: the notes spoken or typed before testing went on."""

from collections.abc import Iterable
from dataclasses import dataclass

from voicelog.analysis.comparison import VisitComparisons
from voicelog.analysis.sift import sift_visit
from voicelog.analysis.stops import Stop
from voicelog.records.content import Note, Trial
from voicelog.records.entry import Entry


@dataclass(frozen=True, slots=True)
class StopEvent:
    """A trial, or a baseline, that met a stop criterion, by its entry id.

    `noted` are the ids of the notes between it and the next trial: the action taken. Empty when
    there is none.
    """

    trial: str
    stops: tuple[Stop, ...]
    noted: tuple[str, ...]


def stop_events(compared: VisitComparisons, entries: Iterable[Entry]) -> tuple[StopEvent, ...]:
    """The stop events of a visit in the order of their times.

    Raises TypeError when something else than an Entry is handed in.
    """
    raised = {c.trial: c.stops for c in compared.comparisons if c.stops}
    for name, stop in compared.baseline_stops:
        raised[name] = (*raised.get(name, ()), stop)
    noted: dict[str, list[str]] = {}
    latest: str | None = None
    for entry in sift_visit(compared.occasion, entries).entries:
        if isinstance(entry.content, Trial):
            latest = entry.entry_id if entry.entry_id in raised else None
            if latest is not None:
                noted[latest] = []
        elif isinstance(entry.content, Note) and latest is not None:
            noted[latest].append(entry.entry_id)
    return tuple(StopEvent(name, raised[name], tuple(notes)) for name, notes in noted.items())
