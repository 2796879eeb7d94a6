"""`voicelog phrases`: the cheat sheet, and the other forms of the language."""

from pathlib import Path
from typing import Annotated

import typer
from rich.console import Console
from rich.table import Table
from rich.text import Text

from voicelog.cheat_sheet import html
from voicelog.cheat_sheet.sections import Section, sections
from voicelog.cli.options import Over, house, one_of, place, show_or_write
from voicelog.cli.tables import show_table
from voicelog.cli.terminal import say
from voicelog.clock import here_and_now
from voicelog.grammar.jsgf import to_jsgf
from voicelog.grammar.pieces import pieces
from voicelog.wiring import House

FORMS = ("sheet", "html", "pdf", "jsgf", "list")


def phrases(
    form: Annotated[
        str,
        typer.Option(
            "--form",
            help="sheet: for people; html, pdf: the same to print; jsgf: the grammar; "
            "list: the phrase list of an engine.",
        ),
    ] = "sheet",
    output: Annotated[
        Path | None,
        typer.Option(
            "--output",
            "-o",
            help="File to write. Default: to the screen.",
            metavar="FILE",
            parser=place,
        ),
    ] = None,
    over: Over = False,
    audit: Annotated[
        bool,
        typer.Option("--audit", help="Show which phrases sound alike, and what is done about it."),
    ] = False,
) -> None:
    """Show what can be said, or print it as a cheat sheet.

    Example: voicelog phrases --form pdf -o sheet.pdf
    """
    built = house()
    one_of(form, FORMS, "--form")
    said = built.phrases
    if audit:
        _audit(built)
    elif form == "sheet":
        if output is not None:
            raise typer.BadParameter("a file needs --form html or pdf", param_hint="--output")
        console = Console(highlight=False)
        for section in sections(said.language):
            console.print(_table(section))
            console.print()
    elif form == "html":
        show_or_write(html.render(said.language), output, over=over)
    elif form == "pdf":
        # Whoever only dictates need not have the library that writes PDF loaded.
        from voicelog.cheat_sheet import pdf

        show_or_write(pdf.render(said.language, here_and_now()), output, over=over)
    elif form == "jsgf":
        show_or_write(to_jsgf("any", said.trees["any"]), output, over=over)
    else:
        show_or_write("\n".join(pieces(said.trees["any"])) + "\n", output, over=over)


def _audit(built: House) -> None:
    """Every pair that sounds alike, worst first; ends with 1 when one of them has no answer."""
    from voicelog.words.auditing import findings_of

    found = findings_of(built.phrases, built.language_folder, built.pronunciations)
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
    show_table(Console(highlight=False), table)
    open_pairs = sum(finding.answer is None for finding in found)
    if open_pairs:
        say(f"{open_pairs} without an answer: add a line for each to alike.toml")
        raise typer.Exit(1)


def _table(section: Section) -> Table:
    table = Table(title=section.title, title_justify="left", show_header=False, box=None)
    table.title_style = "bold"
    table.add_column(style="cyan", min_width=14)
    table.add_column()
    for left, right in section.rows:
        table.add_row(Text(left), Text(right))
    return table
