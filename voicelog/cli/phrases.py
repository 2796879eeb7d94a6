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
from voicelog.wiring import House

FORMS = ("sheet", "jsgf", "list")


def phrases(
    form: Annotated[
        str,
        typer.Option(
            "--form",
            help="sheet: for people; jsgf: the grammar; list: the phrase list of an engine.",
        ),
    ] = "sheet",
    audit: Annotated[
        bool,
        typer.Option("--audit", help="Show which phrases sound alike, and what is done about it."),
    ] = False,
) -> None:
    """Show what can be said.

    Example: voicelog phrases
    """
    built = house()
    one_of(form, FORMS, "--form")
    if audit:
        _audit(built)
    elif form == "jsgf":
        sys.stdout.write(to_jsgf("any", built.phrases.trees["any"]))
    elif form == "list":
        sys.stdout.write("\n".join(pieces(built.phrases.trees["any"])) + "\n")
    else:
        console = Console(highlight=False)
        for table in sheet(built.language):
            console.print(table)
            console.print()


def _audit(built: House) -> None:
    """Every pair that sounds alike, worst first; ends with 1 when one of them has no answer."""
    from voicelog.auditing import findings_of

    found = findings_of(built.phrases, built.language_folder)
    table = Table("Apart", "Sounds like", "Where", "Answer", "Read back as", box=None)
    for finding in found:
        pair, answer = finding.pair, finding.answer
        what: str = "none" if answer is None else answer.answer
        if answer is not None and answer.say is not None:
            what += f": {answer.say[0]} / {answer.say[1]}"
        elif answer is not None and answer.how:
            what += f": {answer.how}"
        read_back = " / ".join(text for text in finding.read_back if text)
        texts = f"{pair.first} / {pair.second}"
        table.add_row(f"{pair.distance:.1f}", texts, pair.place, what, read_back)
    Console(highlight=False).print(table)
    open_pairs = sum(finding.answer is None for finding in found)
    if open_pairs:
        typer.echo(f"{open_pairs} without an answer: add a line for each to alike.toml", err=True)
        raise typer.Exit(1)


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
