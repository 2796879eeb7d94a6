"""`voicelog phrases`: the cheat sheet, and the other forms of the language."""

import sys
from collections.abc import Iterator
from typing import Annotated

import typer
from rich.console import Console
from rich.table import Table

from voicelog.cli.options import house, one_of
from voicelog.grammar.jsgf import to_jsgf
from voicelog.grammar.language import LanguageData, Names
from voicelog.grammar.pieces import pieces

FORMS = ("sheet", "jsgf", "list")


def phrases(
    form: Annotated[
        str,
        typer.Option(
            "--form",
            help="sheet: for people; jsgf: the grammar; list: the phrase list of an engine.",
        ),
    ] = "sheet",
) -> None:
    """Show what can be said.

    Example: voicelog phrases
    """
    built = house()
    one_of(form, FORMS, "--form")
    if form == "jsgf":
        sys.stdout.write(to_jsgf("any", built.phrases.trees["any"]))
    elif form == "list":
        sys.stdout.write("\n".join(pieces(built.phrases.trees["any"])) + "\n")
    else:
        console = Console(highlight=False)
        for table in sheet(built.language):
            console.print(table)
            console.print()


def sheet(language: LanguageData) -> Iterator[Table]:
    """The cheat sheet, one table for each kind of thing."""
    yield _examples(language)
    yield _joints(language)
    slots = language.slots
    listed = {
        "Side": slots.side,
        "Trial": slots.phase,
        "Manner": slots.manner,
        "Position": slots.position,
        "Instrument": slots.instrument,
        "Quality": slots.quality,
        "End feel": slots.end_feel,
        "Outcome": slots.outcome,
        "Band": slots.band,
    }
    yield _table("Parts of a trial", ((name, _said(names)) for name, names in listed.items()))
    yield _table(
        "Numbers",
        ((name, ", ".join((*m.spoken, *m.fixed))) for name, m in language.measures.items()),
    )
    own = {"Drills": language.drills, "Faults": language.faults, "Cues": language.cues}
    yield _table("The practice's own names", ((name, _said(names)) for name, names in own.items()))
    yield _table("Commands", ((name, " / ".join(said)) for name, said in language.commands.items()))


def _examples(language: LanguageData) -> Table:
    return _table("Say it in one breath", ((e.says, e.means) for e in language.examples))


def _joints(language: LanguageData) -> Table:
    rows = (
        (
            " / ".join(joint.spoken),
            ", ".join(" / ".join(language.motions[m]) for m in joint.motions),
        )
        for joint in language.joints.values()
    )
    return _table("Joints and their motions", rows)


def _said(names: Names) -> str:
    return ", ".join(" / ".join(forms) for forms in names.values())


def _table(title: str, rows: Iterator[tuple[str, str]]) -> Table:
    table = Table(
        title=title, title_justify="left", title_style="bold", show_header=False, box=None
    )
    table.add_column(style="cyan", no_wrap=False, min_width=14)
    table.add_column()
    for left, right in rows:
        table.add_row(left, right)
    return table
