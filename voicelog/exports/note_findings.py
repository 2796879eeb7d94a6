"""The parts of a note that say what the numbers say, and how the safety screen stood."""

from voicelog.analysis.comparison import Comparison
from voicelog.analysis.findings import Findings
from voicelog.analysis.numbering import Names, name_caveat, name_direction, numbered
from voicelog.analysis.pain import PainChange
from voicelog.analysis.range_error import RangeChange
from voicelog.exports.base import VisitRecords
from voicelog.exports.markup import listed, plain, table
from voicelog.grammar.language import LanguageData
from voicelog.telling.directions import direction_words, evidence_words
from voicelog.telling.doubts import caveat_words, together
from voicelog.telling.figures import threshold_lines
from voicelog.telling.screen import caution_lines, screen_lines
from voicelog.telling.stops import raised_by, stop_event_words


def screen_part(visit: VisitRecords) -> str:
    """How the screen stood, and which trials were recorded against it."""
    found, language = visit.findings, visit.language
    if found is None:
        return ""
    lines = (*screen_lines(found.screened, language), *caution_lines(found, language))
    return listed(f"## {language.texts.note.screen}", map(plain, lines))


def comparisons_part(visit: VisitRecords) -> str:
    """Each trial beside its baseline, and the thresholds behind the labels."""
    found = visit.findings
    if found is None:
        return ""
    comparisons, language = found.compared.comparisons, visit.language
    parts = (
        _compared(comparisons, numbered(visit.records), language),
        listed(
            f"### {language.texts.note.usual_error}",
            map(plain, threshold_lines(comparisons, language)),
        ),
    )
    return "\n\n".join(part for part in parts if part)


def assessment_part(visit: VisitRecords) -> str:
    """Which way it eased, in descriptive words, and what to mind about it."""
    found = visit.findings
    if found is None:
        return ""
    names, language = numbered(visit.records), visit.language
    told = (
        f"{direction_words(name_direction(one, names), language)} "
        f"{evidence_words(one, names, language)}"
        for one in found.directions
    )
    minded = _to_mind(found, names, language)
    parts = (
        listed(f"### {language.texts.note.eased}", map(plain, told)),
        listed(f"### {language.texts.note.to_mind}", map(plain, minded)),
    )
    return "\n\n".join(part for part in parts if part)


def _compared(comparisons: tuple[Comparison, ...], names: Names, language: LanguageData) -> str:
    if not comparisons:
        return ""
    text = language.texts.note
    rows = (tuple(map(plain, _row(comparison, names, language))) for comparison in comparisons)
    return f"### {text.compared}\n\n" + table(tuple(text.compared_columns), rows)


def _row(comparison: Comparison, names: Names, language: LanguageData) -> tuple[str, ...]:
    return (
        _number(comparison.trial, names),
        _number(comparison.baseline, names),
        "" if comparison.pain is None else _change(comparison.pain, language),
        "; ".join(_change(change, language) for change in comparison.angles),
        ", ".join(raised_by(stop, language) for stop in comparison.stops),
    )


def _change(change: PainChange | RangeChange, language: LanguageData) -> str:
    text, changes = language.texts.note, language.texts.findings.changes
    words = text.pain_change
    if isinstance(change, RangeChange):
        words = text.onset_change if change.onset else text.range_change
    label = changes.no_error if change.label is None else changes.labels[change.label]
    return words.format(before=change.before, after=change.after, label=label)


def _number(entry_id: str | None, names: Names) -> str:
    return "" if entry_id is None else names.get(entry_id, "").lstrip("#")


def _to_mind(found: Findings, names: Names, language: LanguageData) -> tuple[str, ...]:
    """Every reason for care, once: of the comparisons, of the records, of the stop events."""
    caveats = [caveat for one in found.compared.comparisons for caveat in one.caveats]
    every = (*caveats, *found.compared.caveats)
    about = (caveat_words(name_caveat(caveat, names), language) for caveat in together(every))
    stops = (stop_event_words(event, names, language) for event in found.stop_events)
    return tuple(dict.fromkeys((*about, *stops)))
