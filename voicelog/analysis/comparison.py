"""Each trial and retest beside its own baseline: the numbers, a label, and what is in the way.

A change within one visit is a change of symptoms on that day, never the effect of a treatment.
"""

from collections import Counter
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import datetime
from typing import NamedTuple

from voicelog.analysis.baseline import Baselines, by_default
from voicelog.analysis.caveats import Caveat, Doubt
from voicelog.analysis.compare_pain import above_ceiling, compare_pain
from voicelog.analysis.compare_range import compare_angles
from voicelog.analysis.movement import Movement, Reading, reading_of
from voicelog.analysis.pain import PainChange, PainChanges, PainLabel, pain_rule
from voicelog.analysis.range_error import RangeChange, RangeErrors, RangeLabel
from voicelog.analysis.sift import Occasion, Sifted, by_occasion, sift, sift_visit
from voicelog.analysis.stops import Stop, StopWords, stops_by_numbers
from voicelog.analysis.tables import Tables
from voicelog.records.content import Phase
from voicelog.records.entry import Entry


class Comparison(NamedTuple):
    """One trial or retest against its baseline. `pain`, `range` (the end of it) and `onset` (where
    pain starts) are None where nothing compares.

    `trial` and `baseline` are entry ids: the evidence. A named tuple, as one is made for every
    trial and a frozen dataclass takes several times as long.
    """

    movement: Movement
    phase: Phase
    trial: str
    baseline: str | None
    pain: PainChange | None
    range: RangeChange | None
    onset: RangeChange | None
    stops: tuple[Stop, ...]
    caveats: tuple[Caveat, ...]

    @property
    def angles(self) -> tuple[RangeChange, ...]:
        """The changes of angles that there are."""
        return tuple(change for change in (self.onset, self.range) if change is not None)


@dataclass(frozen=True, slots=True)
class VisitComparisons:
    """All comparisons of a visit in the order of their times, and caveats about its records.

    `at` is when its first record was spoken, None when it holds none. `baseline_stops` are stop
    words heard in a baseline, with its entry id.
    """

    occasion: Occasion
    at: datetime | None
    comparisons: tuple[Comparison, ...]
    baseline_stops: tuple[tuple[str, Stop], ...]
    caveats: tuple[Caveat, ...]


class Comparer:
    """Compares visits by one set of tables; holds nothing of what it compared."""

    def __init__(self, tables: Tables) -> None:
        self.pains = PainChanges(pain_rule(tables.rules))
        self.errors = RangeErrors(tables.errors)
        self._stop_words = StopWords(tables.stops)

    def visit(self, occasion: Occasion, entries: Iterable[Entry]) -> VisitComparisons:
        """The comparisons of one visit. Records of others are left out, and that is said.

        Raises TypeError when something else than an Entry is handed in.
        """
        return self._compare(occasion, sift_visit(occasion, entries))

    def every_visit(self, entries: Iterable[Entry]) -> Iterator[VisitComparisons]:
        """The comparisons of every visit among the entries, one visit at a time.

        Raises TypeError at once when something else than an Entry is handed in.
        """
        found = by_occasion(entries)
        return (self._compare(occasion, sift(own)) for occasion, own in found.items())

    def _compare(self, occasion: Occasion, sifted: Sifted) -> VisitComparisons:
        readings = [r for entry in sifted.entries if (r := reading_of(entry)) is not None]
        totals = Counter(r.movement for r in readings if r.trial.phase == "baseline")
        seen: dict[Movement, Baselines] = {}
        comparisons: list[Comparison] = []
        baseline_stops: list[tuple[str, Stop]] = []
        for reading in readings:
            baselines = seen.get(reading.movement)
            if baselines is None:
                baselines = Baselines(reading.movement, totals[reading.movement])
                seen[reading.movement] = baselines
            if reading.trial.phase == "baseline":
                heard = self._stop_words.heard(reading.trial)
                baselines.add(reading, stopped=bool(heard))
                baseline_stops.extend((reading.id, stop) for stop in heard)
            elif reading.trial.phase is not None:
                comparisons.append(self._one(reading, reading.trial.phase, baselines))
        caveats = sifted.caveats if readings else (*sifted.caveats, Caveat(Doubt.EMPTY_VISIT))
        at = sifted.entries[0].spoken_at if sifted.entries else None
        return VisitComparisons(occasion, at, tuple(comparisons), tuple(baseline_stops), caveats)

    def _one(self, trial: Reading, phase: Phase, baselines: Baselines) -> Comparison:
        baseline, caveats = baselines.choose(trial)
        stops = self._stop_words.heard(trial.trial)
        pain: PainChange | None = None
        end = onset = None
        if trial.trial.outcome == "unable":
            caveats += (Caveat(Doubt.UNABLE, (trial.id,)),)
        elif baseline is not None:
            pain, about_pain = compare_pain(baseline, trial, self.pains)
            end, onset, about_angles = compare_angles(baseline, trial, self.errors)
            # She goes on from this baseline today; over the weeks the earlier one is long past.
            caveats += above_ceiling(baseline, self.pains.rule) + about_pain + about_angles
            if trial.trial.by_default or baseline.trial.by_default:
                caveats += by_default(baseline, trial)
            if baseline.id in baselines.stopped:
                caveats += (Caveat(Doubt.BASELINE_STOPPED, (baseline.id,)),)
            stops += stops_by_numbers(pain, onset, self.pains.rule)
        if stops:
            pain, end, onset = _pain_not_better(pain), _not_better(end), _not_better(onset)
        baseline_id = None if baseline is None else baseline.id
        return Comparison(
            baselines.movement, phase, trial.id, baseline_id, pain, end, onset, stops, caveats
        )


def _pain_not_better(pain: PainChange | None) -> PainChange | None:
    """The same numbers without any label that speaks of better: a stop event takes it away."""
    if pain is not None and pain.label in (PainLabel.LOWER_BEYOND, PainLabel.LOWER_WITHIN):
        return PainChange(pain.before, pain.after, PainLabel.NOT_RATED, pain.rule)
    return pain


def _not_better(angle: RangeChange | None) -> RangeChange | None:
    if angle is not None and angle.label in (RangeLabel.MORE_BEYOND, RangeLabel.MORE_WITHIN):
        return angle._replace(label=RangeLabel.NOT_RATED)
    return angle
