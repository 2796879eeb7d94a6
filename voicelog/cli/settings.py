"""`voicelog settings`: what is in force, where it comes from, and what it does."""

import json
import sys
from typing import Annotated

import typer
from rich.console import Console
from rich.padding import Padding
from rich.table import Table
from rich.text import Text

from voicelog.cli.options import house
from voicelog.cli.terminal import say
from voicelog.settings.fields import Settings
from voicelog.settings.places import settings_file
from voicelog.settings.sheet import example, shown, write_example
from voicelog.telling.figures import figure_words
from voicelog.wiring import House


def settings(
    as_example: Annotated[
        bool, typer.Option("--example", help="Print a settings file with comments instead.")
    ] = False,
    write: Annotated[
        bool, typer.Option("--write", help="Put that file where settings are looked for.")
    ] = False,
    schema: Annotated[
        bool, typer.Option("--schema", help="Print the JSON Schema of the settings instead.")
    ] = False,
) -> None:
    """Show each setting, where it comes from, and what it does.

    The environment (VOICELOG_ and the name) goes before the file, the file before the default.

    Example: voicelog settings
    """
    if schema:
        sys.stdout.write(json.dumps(Settings.model_json_schema(), indent=2) + "\n")
    elif as_example:
        sys.stdout.write(example())
    elif write:
        say(f"Written to {write_example()}")
    else:
        _show(house(), Console(highlight=False))


def _show(built: House, console: Console) -> None:
    _ = built.phrases, built.tables  # names in them are checked when they are put to use
    file = settings_file()
    there = "" if file.exists() else ", which is not there yet (voicelog settings --write)"
    console.print(Text(f"Settings file: {file}{there}\n"), soft_wrap=True)
    for one in shown(built.settings):
        changed = one.origin != "default"
        head = Text(f"{one.name} = {one.value}", "bold green" if changed else "bold")
        head.append(f"   {one.origin}", "green" if changed else "dim")
        console.print(head, soft_wrap=True)
        console.print(Padding(Text(f"{one.what} Allowed: {one.choices}."), (0, 0, 0, 4)))
    console.print(_figures(built))


def _figures(built: House) -> Table:
    """The figures that `thresholds` can set, as they are in force."""
    table = Table("", "", title="\nFigures that results rest on", title_justify="left")
    table.title_style, table.box, table.show_header = "bold", None, False
    named = Settings.model_json_schema()["properties"]["thresholds"]["propertyNames"]["enum"]
    for name in named:
        figure = built.tables.rules[name]
        note = "" if figure.published is not None else f". {figure.note}"
        table.add_row(name, Text(f"{figure_words(figure, built.language)}{note}"))
    return table
