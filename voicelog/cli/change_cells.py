"""Table cells for a change: the values, the change, and what that is called, in its colour."""

from rich.text import Text

from voicelog.analysis.pain import PainChange, PainLabel
from voicelog.analysis.range_error import RangeChange, RangeLabel
from voicelog.grammar.language import LanguageData

Cells = tuple[str, str, Text]

# What is within error, or has no label, stays quiet.
_COLOURS: dict[str, str] = {
    PainLabel.LOWER_BEYOND: "green",
    RangeLabel.MORE_BEYOND: "green",
    PainLabel.HIGHER_WITHIN: "yellow",
    RangeLabel.LESS_BEYOND: "yellow",
    PainLabel.HIGHER_BEYOND: "bold red",
    PainLabel.NOT_RATED: "bold red",
}


def pain_cells(change: PainChange, language: LanguageData) -> Cells:
    """Such as "pain 6 → 3", "-3 (-50 %)" and its label."""
    percent = "" if change.whole_percent is None else f" ({change.whole_percent:+d} %)"
    moved = f"{change.change:+d}{percent}" if change.change else "0"
    values = language.texts.tables.cells.pain_change
    told = values.format(before=change.before, after=change.after)
    return told, moved, _label(change.label, language)


def range_cells(change: RangeChange, language: LanguageData) -> Cells:
    """Such as "12° → 16°", "+4°" and its label."""
    onset = language.texts.tables.cells.onset_change
    values = onset if change.onset else "{before}° → {after}°"
    moved = f"{change.change:+d}°" if change.change else "0°"
    none = Text(language.texts.findings.changes.no_error, "dim")
    label = none if change.label is None else _label(change.label, language)
    return values.format(before=change.before, after=change.after), moved, label


def pain_band(change: PainChange) -> str:
    """The usual error on both sides of a change, such as "±2"."""
    return f"±{change.rule.floor.value:g}"


def range_band(change: RangeChange) -> str:
    """The published error on both sides of a change, such as "±3.8°"; empty where none is known."""
    return "" if change.error is None else f"±{change.error.degrees:.1f}°"


def _label(label: PainLabel | RangeLabel, language: LanguageData) -> Text:
    return Text(language.texts.findings.changes.labels[label], _COLOURS.get(label, "dim"))
