"""`voicelog licences`: what voicelog stands on, and under which terms."""

import sys
from typing import Annotated

import typer
from rich.console import Console
from rich.table import Table

from voicelog.cli.tables import show_table


def licences(
    full: Annotated[
        bool, typer.Option("--full", help="Print the words of every licence as well.")
    ] = False,
) -> None:
    """List the packages that voicelog stands on, with their licences.

    They are read from the packages as they are installed here.

    Example: voicelog licences
    """
    from voicelog.licences import licensed, recordings

    found = licensed()
    if not full:
        table = Table("Package", "Version", "Licence", box=None, pad_edge=False)
        for one in found:
            table.add_row(one.name, one.version, one.licence)
        show_table(Console(highlight=False), table)
        typer.echo("The words of each, and of the recordings' voices: voicelog licences --full")
        return
    for one in found:
        sys.stdout.write(f"\n==== {one.name} {one.version}: {one.licence}\n\n")
        for file in one.files:
            sys.stdout.write(file.read_text(encoding="utf-8", errors="replace").strip() + "\n\n")
    sys.stdout.write(f"\n==== The recordings\n\n{recordings()}")
