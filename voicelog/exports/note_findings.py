"""The parts of a note that say what the numbers say, and how the safety screen stood."""

from voicelog.analysis.comparison import Comparison
from voicelog.analysis.doubt_words import caveat_words
from voicelog.analysis.findings import Findings
from voicelog.analysis.numbering import Names, name_caveat, name_direction, numbered
from voicelog.analysis.range_error import RangeChange
from voicelog.analysis.screen_lines import caution_lines, screen_lines
from voicelog.analysis.threshold_words import evidence_words, threshold_lines
from voicelog.analysis.words import direction_words, stop_event_words
from voicelog.exports.base import VisitRecords
from voicelog.exports.markup import listed, plain, table
from voicelog.grammar.texts import NoteTexts


def screen_part(visit: VisitRecords) -> str:
    """How the screen stood, and which trials were recorded against it."""
    found = visit.findings
    if found is None:
        return ""
    lines = (*screen_lines(found.screened), *caution_lines(found))
    return listed(f"## {visit.language.texts.note.screen}", map(plain, lines))


def comparisons_part(visit: VisitRecords) -> str:
    """Each trial beside its baseline, and the thresholds behind the labels."""
    found = visit.findings
    if found is None:
        return ""
    comparisons = found.compared.comparisons
    parts = (
        _compared(comparisons, numbered(visit.records), visit.language.texts.note),
        listed(
            f"### {visit.language.texts.note.usual_error}", map(plain, threshold_lines(comparisons))
        ),
    )
    return "\n\n".join(part for part in parts if part)


def assessment_part(visit: VisitRecords) -> str:
    """Which way it eased, in descriptive words, and what to mind about it."""
    found = visit.findings
    if found is None:
        return ""
    names = numbered(visit.records)
    told = (
        f"{direction_words(name_direction(one, names))} {evidence_words(one, names)}"
        for one in found.directions
    )
    parts = (
        listed(f"### {visit.language.texts.note.eased}", map(plain, told)),
        listed(f"### {visit.language.texts.note.to_mind}", map(plain, _to_mind(found, names))),
    )
    return "\n\n".join(part for part in parts if part)


def _compared(comparisons: tuple[Comparison, ...], names: Names, text: NoteTexts) -> str:
    if not comparisons:
        return ""
    rows = (tuple(map(plain, _row(comparison, names))) for comparison in comparisons)
    return f"### {text.compared}\n\n" + table(tuple(text.compared_columns), rows)


def _row(comparison: Comparison, names: Names) -> tuple[str, ...]:
    pain = ""
    if comparison.pain is not None:
        pain = f"{comparison.pain.before} to {comparison.pain.after}, {comparison.pain.label}"
    angle = "; ".join(_angle(change) for change in comparison.angles)
    return (
        _number(comparison.trial, names),
        _number(comparison.baseline, names),
        pain,
        angle,
        ", ".join(stop.raised_by for stop in comparison.stops),
    )


def _angle(change: RangeChange) -> str:
    what = "pain starts at " if change.onset else ""
    label = change.label or "no published error"
    return f"{what}{change.before}° to {change.after}°, {label}"


def _number(entry_id: str | None, names: Names) -> str:
    return "" if entry_id is None else names.get(entry_id, "").lstrip("#")


def _to_mind(found: Findings, names: Names) -> tuple[str, ...]:
    """Every reason for care, once: of the comparisons, then of the records."""
    caveats = [caveat for one in found.compared.comparisons for caveat in one.caveats]
    stops = (stop_event_words(event, names) for event in found.stop_events)
    about = (caveat_words(name_caveat(c, names)) for c in (*caveats, *found.compared.caveats))
    return tuple(dict.fromkeys((*about, *stops)))
