"""The published marks for a fall of pain, each beside what it takes, in a terminal."""

from rich.console import Console
from rich.table import Table
from rich.text import Text

from voicelog.analysis.pain import PainChange, marks_reached
from voicelog.analysis.tables import PainFigure

_REACHED = {True: "reached", False: "below", None: "has no meaning from 0"}


def marks_view(console: Console, change: PainChange, figures: tuple[PainFigure, ...]) -> None:
    """Every published mark beside the change since the first visit. None of them is a verdict."""
    table = Table("Published mark", "It takes", "Source", "", box=None, pad_edge=False)
    for mark in marks_reached(change.before, change.after, figures):
        figure = mark.figure
        table.add_row(
            figure.statistic,
            f"{figure.high:g} {figure.unit}",
            f"{figure.source_key}, {figure.status}",
            Text(_REACHED[mark.reached], "" if mark.reached else "dim"),
        )
    console.print(f"[bold]Pain {change.before} to {change.after} beside published marks[/]")
    console.print(table)
