"""A table, or a list of its rows where the window is too narrow for it."""

from rich.console import Console
from rich.measure import Measurement
from rich.table import Column, Table
from rich.text import Text

_NO_LIMIT = 10_000


def show_table(console: Console, table: Table) -> None:
    """Print a table. Where not all of its words fit side by side, so that some would be cut off,
    as an id that then cannot be typed, each row becomes a paragraph: "Visit: 2026-03-02-1; …". A
    word that is longer than a line goes on in the next."""
    unlimited = console.options.update_width(_NO_LIMIT)
    if Measurement.get(console, unlimited, table).minimum <= console.width:
        console.print(table)
        return
    if table.title:
        console.print(Text(str(table.title), "bold"))
    rows = Table("", Column(overflow="fold"), box=None, pad_edge=False, show_header=False)
    headings = [str(column.header) for column in table.columns]
    for cells in zip(*(column.cells for column in table.columns), strict=True):
        told = (
            Text(f"{heading}: " if heading else "", "dim").append_text(_text(console, cell))
            for heading, cell in zip(headings, cells, strict=True)
            if str(cell)
        )
        rows.add_row("·", Text("; ").join(told))
    console.print(rows)


def _text(console: Console, cell: object) -> Text:
    return cell if isinstance(cell, Text) else console.render_str(str(cell))
