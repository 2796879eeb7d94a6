"""One client across visits: each movement at its first baseline of the day, and the drills given.

The first baseline of a visit is how the client came in, so it is what compares between visits;
what a visit did to it is told by the visit's own comparisons.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

from voicelog.analysis.baseline import by_default, unlike, unsaid
from voicelog.analysis.caveats import Caveat, Doubt
from voicelog.analysis.compare_pain import compare_pain
from voicelog.analysis.compare_range import compare_angles
from voicelog.analysis.comparison import Comparer
from voicelog.analysis.direction import Direction, directions
from voicelog.analysis.movement import Movement, Reading, pain_comparable, reading_of
from voicelog.analysis.pain import PainChange
from voicelog.analysis.range_error import RangeChange
from voicelog.analysis.sift import Occasion, by_occasion, sift
from voicelog.records.content import Drill
from voicelog.records.entry import Entry


def pain_free_deg(reading: Reading) -> int | None:
    """Degrees free of pain: where pain begins, or the range when pain is 0; None when unknown."""
    if reading.trial.onset_deg is not None:
        return reading.trial.onset_deg
    return reading.trial.range_deg if reading.pain == 0 else None


@dataclass(frozen=True, slots=True)
class VisitPoint:
    """A movement in one visit.

    `start` is the first baseline of the day, `end` the last retest after it that was taken in a
    comparable manner and position.
    """

    visit_id: str
    at: datetime
    start: Reading | None
    end: Reading | None
    direction: Direction | None

    @property
    def pain_free_deg(self) -> int | None:
        """Degrees free of pain at the start: where pain begins, or the range when pain is 0."""
        return None if self.start is None else pain_free_deg(self.start)


@dataclass(frozen=True, slots=True)
class Change:
    """The newest start against an earlier one; `before` and `after` are entry ids."""

    before: str
    after: str
    pain: PainChange | None
    range: RangeChange | None
    onset: RangeChange | None
    caveats: tuple[Caveat, ...]

    @property
    def angles(self) -> tuple[RangeChange, ...]:
        """The changes of angles that there are."""
        return tuple(change for change in (self.onset, self.range) if change is not None)


@dataclass(frozen=True, slots=True)
class MovementProgress:
    """A movement over the visits, oldest first. The changes are None with fewer than two starts."""

    movement: Movement
    points: tuple[VisitPoint, ...]
    since_first: Change | None
    since_last: Change | None


@dataclass(frozen=True, slots=True)
class DrillGiven:
    """A drill with its dose, as given in one visit."""

    visit_id: str
    at: datetime
    entry_id: str
    drill: Drill

    @property
    def total_reps(self) -> int | None:
        """Sets times repetitions; None when either was not said."""
        if self.drill.sets is None or self.drill.reps is None:
            return None
        return self.drill.sets * self.drill.reps


@dataclass(frozen=True, slots=True)
class Progress:
    """Everything about one client over the visits; movements and drills by name."""

    movements: tuple[MovementProgress, ...]
    drills: tuple[DrillGiven, ...]
    caveats: tuple[Caveat, ...]


def progress(client: str, entries: Iterable[Entry], comparer: Comparer) -> Progress:
    """The course of one client. Records of other clients are left out, and that is said.

    Raises TypeError when something else than an Entry is handed in.
    """
    found = by_occasion(entries)
    strangers = (e.entry_id for o, theirs in found.items() if o.client != client for e in theirs)
    caveats = tuple(Caveat(Doubt.OTHER_CLIENT, (name,)) for name in dict.fromkeys(strangers))
    points: dict[Movement, list[VisitPoint]] = {}
    drills: list[DrillGiven] = []
    for occasion, own in found.items():
        if occasion.client != client:
            continue
        sifted = sift(own)
        caveats += sifted.caveats
        drills.extend(_drills(occasion, sifted.entries))
        for movement, point in _visit(occasion, own, sifted.entries, comparer).items():
            points.setdefault(movement, []).append(point)
    return Progress(
        movements=tuple(
            _movement(movement, sorted(points[movement], key=_when), comparer)
            for movement in sorted(points, key=lambda m: (m.joint, m.motion, m.side or ""))
        ),
        drills=tuple(sorted(drills, key=lambda d: (d.at, d.entry_id))),
        caveats=tuple(sorted(caveats, key=lambda c: (c.about, c.doubt))),
    )


def _visit(
    occasion: Occasion, own: list[Entry], counted: tuple[Entry, ...], comparer: Comparer
) -> dict[Movement, VisitPoint]:
    eased = {d.movement: d for d in directions(comparer.visit(occasion, own).comparisons)}
    readings: dict[Movement, list[Reading]] = {}
    for entry in counted:
        reading = reading_of(entry)
        if reading is not None:
            readings.setdefault(reading.movement, []).append(reading)
    return {
        movement: _point(occasion, found, eased.get(movement))
        for movement, found in readings.items()
    }


def _point(occasion: Occasion, found: list[Reading], direction: Direction | None) -> VisitPoint:
    start = next((r for r in found if r.trial.phase == "baseline"), None)
    end = _end(found, start)
    return VisitPoint(occasion.visit_id, found[0].entry.spoken_at, start, end, direction)


def _end(found: list[Reading], start: Reading | None) -> Reading | None:
    after = found if start is None else found[found.index(start) + 1 :]
    for reading in reversed(after):
        like = start is None or pain_comparable(start.manner, reading.manner)
        if reading.trial.phase == "retest" and like:
            return reading
    return None


def _movement(movement: Movement, points: list[VisitPoint], comparer: Comparer) -> MovementProgress:
    starts = [point.start for point in points if point.start is not None]
    since_first = since_last = None
    if len(starts) > 1:
        since_first = change_between(starts[0], starts[-1], comparer)
        since_last = change_between(starts[-2], starts[-1], comparer)
    return MovementProgress(movement, tuple(points), since_first, since_last)


def change_between(before: Reading, after: Reading, comparer: Comparer) -> Change:
    """The change of one movement between two visits, with the error of different days."""
    if not pain_comparable(before.manner, after.manner):
        return Change(before.id, after.id, None, None, None, (unlike(before, after),))
    pain, about_pain = compare_pain(before, after, comparer.pains)
    angles = compare_angles(before, after, comparer.errors, same_visit=False)
    said = unsaid(before, after) + by_default(before, after)
    caveats = said + about_pain + angles.caveats
    return Change(before.id, after.id, pain, angles.range, angles.onset, caveats)


def _drills(occasion: Occasion, entries: tuple[Entry, ...]) -> Iterable[DrillGiven]:
    for entry in entries:
        if isinstance(entry.content, Drill):
            yield DrillGiven(occasion.visit_id, entry.spoken_at, entry.entry_id, entry.content)


def _when(point: VisitPoint) -> tuple[datetime, str]:
    return (point.at, point.visit_id)
