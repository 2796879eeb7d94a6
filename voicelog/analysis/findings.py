"""All that one visit says: its comparisons, and the safety screen as it stood at that time."""

from collections.abc import Iterable
from dataclasses import dataclass

from voicelog.analysis.comparison import Comparer, VisitComparisons
from voicelog.analysis.direction import Direction, directions
from voicelog.analysis.safety import Screen, screen_state
from voicelog.analysis.sift import Occasion
from voicelog.analysis.stop_events import StopEvent, stop_events
from voicelog.analysis.tables import ScreenItem
from voicelog.records.entry import Entry
from voicelog.records.screen import Clearance, ScreenAnswer
from voicelog.records.visit import Visit


@dataclass(frozen=True, slots=True)
class ScreenOfVisit:
    """The screen as it stood at the end of the visit.

    `before` is false when no answer was on file as the visit began.
    """

    screen: Screen
    before: bool


@dataclass(frozen=True, slots=True)
class Findings:
    """What the records of one visit say, with the screen of that time."""

    screened: ScreenOfVisit
    compared: VisitComparisons
    directions: tuple[Direction, ...]
    stop_events: tuple[StopEvent, ...]


@dataclass(frozen=True, slots=True)
class OnFile:
    """What is on file of one client about the safety screen, in any order."""

    items: tuple[ScreenItem, ...]
    answers: tuple[ScreenAnswer, ...]
    clearances: tuple[Clearance, ...]


def findings(
    visit: Visit, records: Iterable[Entry], on_file: OnFile, comparer: Comparer
) -> Findings:
    """What one visit says. Raises TypeError when something else than an Entry is handed in."""
    records = tuple(records)
    compared = comparer.visit(Occasion(visit.client, visit.visit_id), records)
    return Findings(
        screen_of_visit(visit, on_file),
        compared,
        directions(compared.comparisons),
        stop_events(compared, records),
    )


def screen_of_visit(visit: Visit, on_file: OnFile) -> ScreenOfVisit:
    """The screen from what was on file by the end of the visit; of an open visit, by now."""
    end = visit.ended_at
    answers = [a for a in on_file.answers if end is None or a.asked_at <= end]
    clearances = [c for c in on_file.clearances if end is None or c.entered_at <= end]
    return ScreenOfVisit(
        screen=screen_state(visit.client, on_file.items, answers, clearances),
        before=any(a.asked_at <= visit.started_at for a in answers),
    )
