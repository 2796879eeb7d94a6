"""What several commands share: options, and the look of a list."""

import os
import sys
from collections.abc import Iterable
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer
from rich.console import Console
from rich.table import Column, Table
from rich.text import Text

from voicelog.cli.terminal import Terminal, say
from voicelog.engines import ENGINES
from voicelog.errors import ExportError
from voicelog.exports.files import no_folder, write_file
from voicelog.settings.fields import Settings
from voicelog.settings.loading import load_settings
from voicelog.store.failures import refuse_missing
from voicelog.store.keys import keys_path
from voicelog.wiring import House

if TYPE_CHECKING:
    from voicelog.store.sqlite import SqliteStore

Engine = Annotated[
    str | None,
    typer.Option("--engine", help=f"Speech engine: {', '.join(ENGINES)}. Default: as in settings."),
]
DataFolder = Annotated[
    Path | None,
    typer.Option(
        "--data",
        help="Folder of the records. Default: as in settings.",
        metavar="DIR",
        file_okay=False,
    ),
]

Practitioner = Annotated[
    str | None,
    typer.Option(
        "--practitioner",
        help="Who records or corrects, with settings of their own. Default: as in settings.",
        metavar="NAME",
    ),
]

ClientArgument = Annotated[
    str, typer.Argument(help="The practice's code for the client.", metavar="CLIENT")
]

Over = Annotated[bool, typer.Option("--over", help="Replace the file if there is one already.")]


def place(typed: str) -> Path:
    """What was typed after -o. Raises ExportError for "new/" where there is no such folder: a
    file of that name is not what was meant."""
    path = Path(typed)
    if typed.endswith(("/", os.sep)) and not path.is_dir():
        raise no_folder(path)
    return path


def house(data: Path | None = None, practitioner: str | None = None, **changes: object) -> House:
    """The house built from the settings, for this practitioner when one is named, with the data
    folder replaced when one is given, and with any other setting that is changed."""
    settings = load_settings(practitioner)
    if data is not None:
        changes["data_folder"] = data
    return House(settings.model_copy(update=changes), Terminal())


def kept_store(built: House) -> "SqliteStore":
    """The store that is there, to look into it, also where nothing can be written: none is made.

    Raises StoreError.
    """
    from voicelog.store.sqlite import SqliteStore

    file = built.settings.store_file
    refuse_missing(file)
    return SqliteStore(file, key=built.file_key, to_look=True)


def listed_store(built: House) -> "SqliteStore | None":
    """The same to list what is there; None where nothing was ever recorded, and so there is nothing
    to list. In a folder that somebody named there should be records. Raises StoreError."""
    file = built.settings.store_file
    usual = Settings.model_construct().data_folder == built.settings.data_folder
    if usual and not (file.exists() or keys_path(file).exists()):
        return None
    return kept_store(built)


def one_of(value: str, allowed: tuple[str, ...], option: str) -> str:
    """The value, if it is allowed. Raises typer.BadParameter (exit code 2) if it is not."""
    if value not in allowed:
        raise typer.BadParameter(f"{value!r} is not one of {', '.join(allowed)}", param_hint=option)
    return value


def client_code(value: str, option: str = "--client") -> str:
    """A client's code, checked. Raises typer.BadParameter."""
    from pydantic import TypeAdapter, ValidationError

    from voicelog.records.visit import ClientCode

    try:
        return TypeAdapter(ClientCode).validate_python(value)
    except ValidationError:
        raise typer.BadParameter(
            "use the practice's own short code of letters, digits, dots and dashes, such as C-014;"
            " never a name",
            param_hint=option,
        ) from None


def bullets(console: Console, heading: str, lines: Iterable[str]) -> None:
    """A heading with a line for each sentence, wrapped under its own start; nothing when empty."""
    table = Table("", Column(overflow="fold"), box=None, pad_edge=False, show_header=False)
    for line in lines:
        table.add_row("·", Text(line))
    if table.row_count:
        console.print(Text(heading, "bold"))
        console.print(table)


def counted(count: int, thing: str) -> str:
    """How many there are of a thing, such as "1 visit" and "2 visits"."""
    return f"{count} {thing}" if count == 1 else f"{count} {thing}s"


def show_or_write(
    content: str | bytes, output: Path | None, *, over: bool, told: str = "Written to {file}"
) -> None:
    """Put content into the file, `over` another one if need be, and tell so, or on the screen
    where no file is named.

    Raises ExportError.
    """
    if output is not None:
        write_file(output, content, over=over)
        say(told.format(file=output))
    elif isinstance(content, str):
        sys.stdout.write(content)
    elif sys.stdout.isatty():
        raise ExportError(
            "This format is not made for the screen",
            kept="Nothing was written",
            do="Give a file with -o, such as -o note.pdf",
        )
    else:
        sys.stdout.buffer.write(content)
