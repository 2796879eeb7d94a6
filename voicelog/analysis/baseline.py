"""Which baseline a trial is compared with.

Baselines of the same movement, spoken no later than the trial and taken in a comparable manner and
position, are candidates. One whose angle compares too (same instrument, same angle) goes before
one whose angle does not; of those the latest counts. Every choice that had to be made is said.
"""

from dataclasses import dataclass
from datetime import datetime

from voicelog.analysis.caveats import Caveat, Doubt
from voicelog.analysis.movement import (
    Manner,
    Movement,
    Reading,
    compatible,
    pain_comparable,
    range_comparable,
)


@dataclass(slots=True)
class _Taken:
    """The baselines taken in one manner: the latest and how many there were."""

    latest: Reading
    count: int = 1


class Baselines:
    """The baselines of one movement in one visit, seen so far in the order of their times.

    `total` is how many there are in the whole visit. Grouped by manner, so that a visit with
    thousands of records stays quick.
    """

    def __init__(self, movement: Movement, total: int) -> None:
        self.movement = movement
        self._total = total
        self._taken: dict[Manner, _Taken] = {}
        self.stopped: set[str] = set()
        """The ids of those with a stop event."""

    def add(self, baseline: Reading, *, stopped: bool) -> None:
        """Remember a baseline; later ones of the same manner take its place."""
        if stopped:
            self.stopped.add(baseline.id)
        taken = self._taken.get(baseline.manner)
        if taken is None:
            self._taken[baseline.manner] = _Taken(baseline)
        else:
            taken.latest = baseline
            taken.count += 1

    def choose(self, trial: Reading) -> tuple[Reading | None, tuple[Caveat, ...]]:
        """The baseline for a trial and what has to be said about the choice."""
        manner = trial.manner
        if len(self._taken) == 1 and (only := self._taken.get(manner)) and only.count == 1:
            return only.latest, ()
        like = [taken for own, taken in self._taken.items() if pain_comparable(own, manner)]
        if not like:
            return None, (self._why_none(trial),)
        angle = manner.end or manner.onset
        chosen = max(
            (taken.latest for taken in like),
            key=lambda r: (angle and range_comparable(r.manner, manner), _when(r)),
        )
        caveats = unsaid(chosen, trial)
        count = sum(taken.count for taken in like)
        if count > 1:
            caveats += (Caveat(Doubt.MORE_BASELINES, (chosen.id,), (str(count),)),)
        return chosen, caveats

    def _why_none(self, trial: Reading) -> Caveat:
        if not self._taken:
            if self._total == 0:
                return Caveat(Doubt.NO_BASELINE, (trial.id,))
            retest = trial.trial.phase == "retest"
            doubt = Doubt.BASELINE_AFTER_RETEST if retest else Doubt.BASELINE_AFTER_TRIAL
            return Caveat(doubt, (trial.id,))
        return unlike(max((taken.latest for taken in self._taken.values()), key=_when), trial)


def unlike(before: Reading, after: Reading) -> Caveat:
    """Why the pain of two readings of one movement does not compare: manner, or else position."""
    about = (before.id, after.id)
    one, two = before.manner, after.manner
    if not compatible(one.manner, two.manner):
        return Caveat(Doubt.DIFFERENT_MANNER, about, _said(one.manner, two.manner))
    return Caveat(Doubt.DIFFERENT_POSITION, about, _said(one.position, two.position))


def unsaid(baseline: Reading, trial: Reading) -> tuple[Caveat, ...]:
    """What was said of one reading only, and taken for both."""
    before, after = baseline.manner, trial.manner
    about = (baseline.id, trial.id)
    caveats: tuple[Caveat, ...] = ()
    if before.manner != after.manner:
        caveats += (Caveat(Doubt.UNSAID_MANNER, about, _said(before.manner, after.manner)),)
    if before.position != after.position:
        caveats += (Caveat(Doubt.UNSAID_POSITION, about, _said(before.position, after.position)),)
    return caveats


def by_default(before: Reading, after: Reading) -> tuple[Caveat, ...]:
    """What nobody said of the two and was taken from the practice's defaults."""
    assumed = [reading for reading in (before, after) if reading.trial.by_default]
    slots = dict.fromkeys(slot for reading in assumed for slot in reading.trial.by_default)
    said = dict.fromkeys(
        str(getattr(reading.trial, slot))
        for slot in slots
        for reading in assumed
        if slot in reading.trial.by_default
    )
    return (Caveat(Doubt.BY_DEFAULT, tuple(r.id for r in assumed), tuple(said)),) if assumed else ()


def _said(*words: str | None) -> tuple[str, ...]:
    return tuple(word for word in words if word is not None)


def _when(reading: Reading) -> tuple[datetime, str]:
    return (reading.entry.spoken_at, reading.id)
