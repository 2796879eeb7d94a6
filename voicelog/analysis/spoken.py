"""What a saved trial changes, in one short sentence for the ear."""

from voicelog.analysis.comparison import Comparison, VisitComparisons
from voicelog.analysis.direction import directions
from voicelog.analysis.words import direction_spoken
from voicelog.records.entry import Entry

_STOP = "stop and review"
_ACTION = "Say note, and what you did."


def remark(entry: Entry, visit: VisitComparisons, *, changes: bool = True) -> str:
    """What is worth saying about a trial just saved, or nothing.

    A trial or retest is told against its baseline; the trial that completes gap and compression
    also tells which direction eased. A stop event is always said, with a prompt to put on record
    what was done; the rest only with `changes`.
    """
    own = next((c for c in visit.comparisons if c.trial == entry.entry_id), None)
    stopped = any(name == entry.entry_id for name, _ in visit.baseline_stops)
    parts = []
    if own is not None:
        stopped = bool(own.stops)
        parts.append(_told(own, visit) if changes else "")
    if stopped:
        if not any(_STOP in part.lower() for part in parts):
            parts.append(f"{_STOP.capitalize()}.")
        parts.append(_ACTION)
    return " ".join(part for part in parts if part)


def _told(own: Comparison, visit: VisitComparisons) -> str:
    of_movement = [c for c in visit.comparisons if c.movement == own.movement]
    if own.phase != "retest" and {"gap", "compression"} <= {c.phase for c in of_movement}:
        return direction_spoken(directions(of_movement)[0])
    return _change(own)


def _change(comparison: Comparison) -> str:
    parts = []
    if comparison.pain is not None:
        parts.append(f"pain {comparison.pain.before} to {comparison.pain.after}")
    for change in comparison.angles:
        what = "pain starts at" if change.onset else "range"
        parts.append(f"{what} {change.before} to {change.after} degrees")
    if comparison.stops:
        parts.append(_STOP)
    text = ", ".join(parts)
    return f"{text[0].upper()}{text[1:]}." if text else ""
