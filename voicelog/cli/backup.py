"""`voicelog backup` and `voicelog restore`."""

from datetime import datetime
from pathlib import Path
from typing import Annotated

import typer

from voicelog.cli.options import DataFolder, counted, house
from voicelog.cli.terminal import say
from voicelog.safekeeping.backups import back_up
from voicelog.safekeeping.practice_files import BroughtBack, beside_backup, bring_back, carry
from voicelog.safekeeping.restoring import restore as put_back
from voicelog.store.examine import Examined


def backup(
    target: Annotated[
        Path, typer.Argument(help="Folder, or a new file ending in .sqlite.", metavar="DEST")
    ],
    data: DataFolder = None,
) -> None:
    """Copy all records and their keys, then open the copy and look through all of it.

    It is encrypted as the records are, and may be written while others dictate. Own words and
    settings go into a folder beside it, not encrypted.

    Example: voicelog backup today.sqlite
    """
    built = house(data)
    done = back_up(built, target, datetime.now())
    say(f"Written to {done.file} and looked through: {_told(done.found)}")
    if carry(built.settings, done.file):
        say(f"Own words and settings are in {beside_backup(done.file)}")
    if not done.portable:
        say(
            "Only this machine can open it: its key lies here. For one that another machine can"
            " open, run `voicelog safe recovery-key` or `voicelog safe passphrase` and back up"
            " again."
        )


def restore(
    source: Annotated[
        Path, typer.Argument(help="A file that `voicelog backup` wrote.", metavar="FILE")
    ],
    anyway: Annotated[
        bool,
        typer.Option("--anyway", help="Also where the records there cannot be opened any more."),
    ] = False,
    data: DataFolder = None,
) -> None:
    """Put a backup in the place of the records, also one of an earlier version.

    It is looked through first. The records that were there are kept beside it, and so is their
    lock; with --anyway the lock of the backup holds instead.

    Example: voicelog restore today.sqlite
    """
    built = house(data)
    found, kept = put_back(built, source, datetime.now(), anyway=anyway)
    say(f"Restored to {built.settings.store_file}: {_told(found)}")
    if kept is not None:
        say(f"What was there before is kept in {kept}")
    _tell_own(bring_back(built.settings, source))


def _tell_own(back: BroughtBack) -> None:
    for file in back.words:
        say(f"Own words are back in {file}")
    for copy in back.other_words:
        say(f"Own words here were left as they are. To add others: voicelog words import {copy}")
    for error in back.unread:
        say(f"Own words of the backup were not put back, and those here are as they were: {error}")
    if back.settings:
        listed = ", ".join(map(str, back.settings))
        say(f"Settings were left as they are here. Those of the backup: {listed}")


def amount(found: Examined) -> str:
    """How much there is in a store, in words."""
    visits, versions, clips = (found.rows[name] for name in ("visit", "entry_version", "clip"))
    return (
        f"{counted(visits, 'visit')}, {counted(versions, 'version')} of entries,"
        f" {counted(clips, 'clip')}"
    )


def _told(found: Examined) -> str:
    trail = found.trail
    return f"{amount(found)}; the audit trail ends with link {trail.links}, {trail.last[:16]}"
