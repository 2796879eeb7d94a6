"""The published marks for a fall of pain, each beside what it takes, in a terminal."""

from rich.console import Console
from rich.table import Table
from rich.text import Text

from voicelog.analysis.pain import PainChange, marks_reached
from voicelog.analysis.tables import PainFigure
from voicelog.cli.tables import show_table
from voicelog.grammar.language import LanguageData
from voicelog.telling.figures import amount


def marks_view(
    console: Console,
    change: PainChange,
    figures: tuple[PainFigure, ...],
    language: LanguageData,
) -> None:
    """Every published mark beside the change since the first visit, and in whom it was found, both
    named as its source does. None of them is a verdict."""
    text, statuses = language.texts.tables.marks, language.texts.findings.figures.statuses
    reached = {True: text.reached, False: text.below, None: text.from_0}
    table = Table(*text.columns, box=None, pad_edge=False)
    for mark in marks_reached(change.before, change.after, figures):
        figure = mark.figure
        table.add_row(
            figure.statistic,
            figure.population,
            amount(f"{figure.high:g}", figure.unit, language),
            f"{figure.source_key}, {statuses[figure.status]}",
            Text(reached[mark.reached], "" if mark.reached else "dim"),
        )
    title = text.title.format(before=change.before, after=change.after)
    console.print(f"[bold]{title}[/]")
    show_table(console, table)
