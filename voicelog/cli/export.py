"""`voicelog export`: hand a visit over. `voicelog schema`: the shape of what is handed over."""

import sys
from pathlib import Path
from typing import Annotated

import typer

from voicelog.cli.options import (
    DataFolder,
    Over,
    client_code,
    house,
    kept_store,
    one_of,
    place,
    show_or_write,
)
from voicelog.cli.terminal import say
from voicelog.exports import SHOWS_ALL, formats, lacking, load
from voicelog.exports.files import refuse_place, write_file
from voicelog.exports.schema import published, schema_text
from voicelog.handover import Wish, hand_over
from voicelog.visits import find_visit

_MOST_SIGNS = 20
Format = Annotated[str, typer.Option("--format", help=f"One of {', '.join(formats())}.")]
Output = Annotated[
    Path | None,
    typer.Option(
        "--output",
        "-o",
        help="File to write, or a folder. Default: to the screen.",
        metavar="FILE",
        parser=place,
    ),
]


def export(
    visit: Annotated[
        str, typer.Argument(help='A visit, "last", or a client\'s code for the newest one.')
    ],
    format: Format = "markdown",  # noqa: A002 (the name of the option)
    output: Output = None,
    unconfirmed: Annotated[
        bool, typer.Option("--unconfirmed", help="Also list what was not affirmed, marked.")
    ] = False,
    pseudonym: Annotated[
        str | None,
        typer.Option("--pseudonym", help="Stands for the client's code.", metavar="NAME"),
    ] = None,
    codes: Annotated[
        bool, typer.Option("--codes/--no-codes", help="fhir: use published codes (SNOMED, LOINC).")
    ] = True,
    schema: Annotated[
        bool, typer.Option("--schema", help="Also write the format's schema beside the file.")
    ] = False,
    over: Over = False,
    data: DataFolder = None,
) -> None:
    """Write a visit as a note, a home sheet, a table or an object. Sound never goes with it.

    Example: voicelog export last --format pdf -o note.pdf
    """
    chosen = load(one_of(format, formats(), "--format"))
    name = None if pseudonym is None else client_code(pseudonym, "--pseudonym")
    if schema:
        one_of(format, published(), "--schema with --format")
        if output is None:
            raise typer.BadParameter("it needs -o FILE to stand beside", param_hint="--schema")
    built = house(data)
    store = kept_store(built)
    try:
        found = find_visit(store, visit)
        records = hand_over(built, store, found, Wish(unconfirmed, name, codes))
    finally:
        store.close()
    if output is not None and output.is_dir():
        output = output / f"{records.visit.visit_id}-{format}{chosen.SUFFIX}"
    beside = output.with_suffix(".schema.json") if schema and output is not None else None
    if beside is not None:  # both or none
        refuse_place(beside, over=over)
    text = built.language.texts.tables.handing
    told = text.written.format(file="{file}", care=text.left_the_safe)
    content = chosen.render(records)
    if signs := lacking(format, records):
        listed = signs if len(signs) <= _MOST_SIGNS else f"{signs[:_MOST_SIGNS]}…"
        say(text.lacking.format(signs=listed, format=SHOWS_ALL[format]))
    show_or_write(content, output, over=over, told=told)
    if output is None and not sys.stdout.isatty():
        say(text.left_the_safe)
    if name is not None:
        say(text.renamed)
    if beside is not None:
        write_file(beside, schema_text(format), over=over)
        say(text.described.format(file=beside))


def schema(
    format: Annotated[str, typer.Argument(help=f"One of {', '.join(published())}.")],  # noqa: A002
    output: Output = None,
    over: Over = False,
) -> None:
    """Print the published schema of a format: JSON Schema, for csv a Frictionless Table Schema.

    Example: voicelog schema jsonl
    """
    text = schema_text(one_of(format, published(), "FORMAT"))
    if output is not None and output.is_dir():
        output = output / f"{format}.schema.json"
    show_or_write(text, output, over=over)
