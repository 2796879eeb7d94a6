"""`voicelog archive` and `voicelog import`: a client or the practice as one file, and back."""

from pathlib import Path
from typing import Annotated

import typer

from voicelog.archive.reading import read_archive
from voicelog.archive.writing import write_archive
from voicelog.cli.options import DataFolder, Over, client_code, counted, house, kept_store, place
from voicelog.cli.terminal import say


def archive(
    output: Annotated[
        Path,
        typer.Option("--output", "-o", help="The zip file to write.", metavar="FILE", parser=place),
    ],
    client: Annotated[
        str | None, typer.Argument(help="Client's code, such as C-014.", metavar="CLIENT")
    ] = None,
    everybody: Annotated[bool, typer.Option("--all", help="The whole practice.")] = False,
    sound: Annotated[
        bool, typer.Option("--sound", help="With the sound that is kept of accepted dictations.")
    ] = False,
    over: Over = False,
    data: DataFolder = None,
) -> None:
    """Write all that is kept of a client, or of the whole practice, into one file.

    Every version of every entry goes with it, also what was not affirmed. The file is not
    encrypted: keep it as you keep records.

    Example: voicelog archive C-014 -o C-014.zip
    """
    if (client is None) is not everybody:
        raise typer.BadParameter("give a client's code, or --all", param_hint="CLIENT")
    code = None if client is None else client_code(client, "CLIENT")
    built = house(data)
    store = kept_store(built)
    try:
        done = write_archive(store, output, code, sound=sound, over=over)
    finally:
        store.close()
    care = built.language.texts.tables.handing.left_the_safe
    with_sound = f", {counted(done.clips, 'clip')}" if sound else ", no sound"
    say(
        f"Written to {output}: {counted(done.visits, 'visit')}, "
        f"{counted(done.versions, 'version')} of entries, {counted(done.facts, 'fact')} on file"
        f"{with_sound}. {care}"
    )


def import_file(
    file: Annotated[Path, typer.Argument(help="A file that `voicelog archive` wrote.")],
    data: DataFolder = None,
) -> None:
    """Take in an archive: all of it, or nothing. What is here already stays as it is.

    Example: voicelog import C-014.zip
    """
    store = house(data).store()
    try:
        taken = read_archive(file, store)
    finally:
        store.close()
    if not (taken.visits or taken.versions or taken.facts):
        say("All of it was here already.")
        return
    say(
        f"Taken in: {counted(taken.visits, 'visit')}, "
        f"{counted(taken.versions, 'version')} of entries, "
        f"{counted(taken.facts, 'fact')} on file"
    )
