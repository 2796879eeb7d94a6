"""Numbers for the records of a visit, so that sentences can point at a row of a table."""

from collections.abc import Iterable, Mapping

from voicelog.analysis.caveats import Caveat
from voicelog.analysis.direction import Direction
from voicelog.records.content import Trial
from voicelog.records.entry import Entry

Names = Mapping[str, str]
"""Entry id to the name it has in the table, such as "#2"."""


def numbered(entries: Iterable[Entry]) -> dict[str, str]:
    """Trials in the order given are #1, #2 …; other entries go by their time of day."""
    names: dict[str, str] = {}
    trials = 0
    for entry in entries:
        if isinstance(entry.content, Trial):
            trials += 1
            names[entry.entry_id] = f"#{trials}"
        else:
            names[entry.entry_id] = f"{entry.spoken_at:%H:%M:%S}"
    return names


def timed(entries: Iterable[Entry]) -> dict[str, str]:
    """Entries that stand in no table, by their time of day."""
    return {entry.entry_id: f"{entry.spoken_at:%H:%M:%S}" for entry in entries}


def by_day(entries: Iterable[Entry]) -> dict[str, str]:
    """Entries by the day they were spoken, for sentences about several visits."""
    return {entry.entry_id: entry.spoken_at.date().isoformat() for entry in entries}


def name_caveat(caveat: Caveat, names: Names) -> Caveat:
    """The caveat about names instead of ids; an id without a name stays."""
    return caveat._replace(about=tuple(names.get(one, one) for one in caveat.about))


def name_direction(direction: Direction, names: Names) -> Direction:
    """The direction with names in its caveats."""
    caveats = tuple(name_caveat(caveat, names) for caveat in direction.caveats)
    return direction._replace(caveats=caveats)
