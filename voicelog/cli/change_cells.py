"""Table cells for a change: the values, the change, and what that is called, in its colour."""

from rich.text import Text

from voicelog.analysis.pain import PainChange, PainLabel
from voicelog.analysis.range_error import RangeChange, RangeLabel

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


def pain_cells(change: PainChange) -> Cells:
    """Such as "pain 6 → 3", "-3 (-50 %)" and its label."""
    percent = "" if change.percent is None else f" ({change.percent:+.0f} %)"
    moved = f"{change.change:+d}{percent}" if change.change else "0"
    return f"pain {change.before} → {change.after}", moved, _label(change.label)


def range_cells(change: RangeChange) -> Cells:
    """Such as "12° → 16°", "+4°" and its label."""
    what = "pain from " if change.onset else ""
    moved = f"{change.change:+d}°" if change.change else "0°"
    label = Text("no published error", "dim") if change.label is None else _label(change.label)
    return f"{what}{change.before}° → {change.after}°", moved, label


def pain_band(change: PainChange) -> str:
    """The usual error on both sides of a change, such as "±2"."""
    return f"±{change.rule.floor.value:g}"


def range_band(change: RangeChange) -> str:
    """The published error on both sides of a change, such as "±3.8°"; empty where none is known."""
    return "" if change.error is None else f"±{change.error.degrees:.1f}°"


def _label(label: PainLabel | RangeLabel) -> Text:
    return Text(str(label), _COLOURS.get(label, "dim"))
