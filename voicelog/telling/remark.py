"""What a saved trial changes, in one short sentence for the ear."""

from voicelog.analysis.comparison import Comparison, VisitComparisons
from voicelog.analysis.direction import directions
from voicelog.grammar.language import LanguageData
from voicelog.records.entry import Entry
from voicelog.telling.directions import direction_spoken
from voicelog.telling.names import opened


def remark(
    entry: Entry, visit: VisitComparisons, language: LanguageData, *, changes: bool = True
) -> str:
    """What is worth saying about a trial just saved, or nothing.

    A trial or retest is told against its baseline; the trial that completes gap and compression
    also tells which direction eased. A stop event is always said, with a prompt to put on record
    what was done; the rest only with `changes`.
    """
    said = language.texts.findings.remarks
    own = next((c for c in visit.comparisons if c.trial == entry.entry_id), None)
    if own is not None:
        stopped, told = bool(own.stops), _told(own, visit, language) if changes else ""
    else:
        stopped, told = any(name == entry.entry_id for name, _ in visit.baseline_stops), ""
    if stopped:
        told = f"{told or f'{opened(said.stop)}.'} {said.action}"
    return told


def _told(own: Comparison, visit: VisitComparisons, language: LanguageData) -> str:
    of_movement = [c for c in visit.comparisons if c.movement == own.movement]
    if own.phase != "retest" and {"gap", "compression"} <= {c.phase for c in of_movement}:
        return direction_spoken(directions(of_movement)[0], language)
    return _change(own, language)


def _change(comparison: Comparison, language: LanguageData) -> str:
    said, parts = language.texts.findings.remarks, []
    if comparison.pain is not None:
        parts.append(said.pain.format(before=comparison.pain.before, after=comparison.pain.after))
    parts += [
        (said.onset if change.onset else said.range).format(
            before=change.before, after=change.after
        )
        for change in comparison.angles
    ]
    if comparison.stops:
        parts.append(said.stop)
    return f"{opened(', '.join(parts))}." if parts else ""
