"""What a saved trial changes, in one short sentence for the ear."""

from voicelog.analysis.comparison import Comparison, VisitComparisons
from voicelog.analysis.direction import directions
from voicelog.analysis.words import direction_spoken
from voicelog.records.entry import Entry


def remark(entry: Entry, visit: VisitComparisons) -> str:
    """What is worth saying about a trial just saved, or nothing.

    A trial or retest is told against its baseline; the trial that completes gap and compression
    also tells which direction eased.
    """
    own = next((c for c in visit.comparisons if c.trial == entry.entry_id), None)
    if own is None:
        return ""
    parts = [_change(own)]
    if own.phase != "retest":
        phases = {c.phase for c in visit.comparisons if c.movement == own.movement}
        if {"gap", "compression"} <= phases:
            found = directions(c for c in visit.comparisons if c.movement == own.movement)
            parts = [direction_spoken(found[0])]
    return " ".join(part for part in parts if part)


def _change(comparison: Comparison) -> str:
    parts = []
    if comparison.pain is not None:
        parts.append(f"pain {comparison.pain.before} to {comparison.pain.after}")
    for change in comparison.angles:
        what = "pain starts at" if change.onset else "range"
        parts.append(f"{what} {change.before} to {change.after} degrees")
    if comparison.stops:
        parts.append("stop and review")
    text = ", ".join(parts)
    return f"{text[0].upper()}{text[1:]}." if text else ""
