"""`voicelog export`: hand a visit over."""

import sys
from pathlib import Path
from typing import Annotated

import typer

from voicelog.cli.options import DataFolder, house, one_of
from voicelog.exports import formats, load
from voicelog.exports.base import VisitRecords
from voicelog.exports.files import write_text
from voicelog.visits import find_visit


def export(
    visit: Annotated[
        str, typer.Argument(help='A visit, "last", or a client\'s code for the newest one.')
    ],
    format: Annotated[  # noqa: A002 (the name of the option)
        str, typer.Option("--format", help=f"One of {', '.join(formats())}.")
    ] = "markdown",
    output: Annotated[
        Path | None, typer.Option("--output", "-o", help="File to write; default: to the screen.")
    ] = None,
    unconfirmed: Annotated[
        bool, typer.Option("--unconfirmed", help="Also list what was not affirmed, marked.")
    ] = False,
    data: DataFolder = None,
) -> None:
    """Write a visit as a note, a table or an object.

    Example: voicelog export last --format markdown -o note.md
    """
    chosen = load(one_of(format, formats(), "--format"))
    built = house(data)
    store = built.store()
    try:
        found = find_visit(store, visit)
        waiting = store.unconfirmed(found.visit_id) if unconfirmed else ()
        records = store.records(found.visit_id)
        text = chosen.render(VisitRecords(found, records, waiting, built.findings(store, found)))
    finally:
        store.close()
    if output is None:
        sys.stdout.write(text)
    else:
        write_text(output, text)
        typer.echo(f"Written to {output}", err=True)
