"""`voicelog forget`: a client as if never there. `voicelog tidy`: sound older than wanted."""

import re
from datetime import timedelta
from typing import Annotated

import typer

from voicelog.cli.options import (
    ClientArgument,
    DataFolder,
    client_code,
    counted,
    house,
    kept_store,
)
from voicelog.cli.terminal import say
from voicelog.clock import here_and_now
from voicelog.errors import ConfigurationError
from voicelog.safekeeping.leftovers import remove_leftovers
from voicelog.store.copies import kept_steps, other_copies
from voicelog.store.failures import refuse_missing
from voicelog.store.own_files import erase
from voicelog.store.removal import Hand
from voicelog.store.rules import no_such_client
from voicelog.wiring import House

Yes = Annotated[bool, typer.Option("--yes", help="Do not ask back.")]


def forget(
    client: ClientArgument,
    yes: Yes = False,
    data: DataFolder = None,
) -> None:
    """Remove all that is kept of a client, for good: records, sound, screen, scales.

    No trace stays in the file; the audit trail notes only that something was removed. Backups,
    exports, and what notes of other clients say are yours to look after, and so are the years
    for which the law wants records kept.

    Example: voicelog forget C-014
    """
    code = client_code(client, "CLIENT")
    built = house(data)
    store = kept_store(built)
    try:
        if code not in store.clients():
            raise no_such_client(code)
        if not yes:
            _ask_back(f"Remove all that is kept of {code}, for good?")
        hand = Hand(built.settings.practitioner, here_and_now())
        removed = store.remove_client(code, hand)
    finally:
        store.close()
    file = built.settings.store_file
    for old in kept_steps(file):
        erase(old)
    say(
        f"Removed: {counted(removed.visits, 'visit')}, {counted(removed.versions, 'version')} of"
        f" entries, {counted(removed.clips, 'clip')}, {counted(removed.facts, 'fact')} on file."
    )
    for copy in other_copies(file):
        say(f"This other copy may still hold the client: {copy}")


def tidy(
    keep_audio: Annotated[
        str | None,
        typer.Option(
            "--keep-audio",
            help="How long sound is kept: 30d, 12w. Default: as in settings.",
            metavar="TIME",
        ),
    ] = None,
    yes: Yes = False,
    data: DataFolder = None,
) -> None:
    """Remove sound that is older than wanted. The records themselves stay.

    What a program that was killed has left half written goes too, unless it could hold a record.
    With keep_audio in the settings, `voicelog listen` does the same before each visit, and nothing
    is asked back.

    Example: voicelog tidy --keep-audio 30d
    """
    built = house(data)
    if left := remove_leftovers(built.settings):
        say(f"Removed: {counted(left, 'leftover')} of killed programs. No record was in there.")
    wanted = keep_audio or built.settings.keep_audio
    if not wanted and left:
        return
    if not wanted:
        raise typer.BadParameter("say how long, such as 30d", param_hint="--keep-audio")
    _length(wanted)  # refused before anything is asked
    refuse_missing(built.settings.store_file)
    if keep_audio and not yes:
        _ask_back(f"Remove all sound that is older than {wanted}, for good? The records stay.")
    clips = remove_old_sound(built, wanted)
    say(f"Removed: {counted(clips, 'clip')} older than {wanted}.")


def remove_old_sound(built: House, wanted: str) -> int:
    """Remove the sound of all that was said longer ago; how many clips that were.

    Raises ConfigurationError when `wanted` is no time, and StoreError.
    """
    store = built.store()
    try:
        now = here_and_now()
        hand = Hand(built.settings.practitioner, now)
        return store.remove_sound(now - _length(wanted), hand).clips
    finally:
        store.close()


def _ask_back(question: str) -> None:
    """Go on only after a yes; after anything else, also where nobody can answer, it is said that
    nothing was removed."""
    try:
        if typer.confirm(question, err=True):
            return
        told = "Nothing was removed."
    except typer.Abort:
        told = "\nNothing was removed. Where nobody can answer, add --yes."
    say(told)
    raise typer.Exit(1)


def _length(wanted: str) -> timedelta:
    found = re.fullmatch(r"\s*(\d{1,5})\s*([dw])\s*", wanted.lower())
    if found is None:
        raise ConfigurationError(
            f'"{wanted}" is no length of time',
            kept="Nothing was removed",
            do="Write days as 30d or weeks as 12w",
        )
    number, unit = int(found[1]), found[2]
    return timedelta(days=number) if unit == "d" else timedelta(weeks=number)
