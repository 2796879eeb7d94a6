"""`voicelog trail`: whether anything was changed from outside."""

import re
from typing import Annotated

import typer

from voicelog.cli.options import DataFolder, counted, house, kept_store
from voicelog.errors import StoreError

_NOTED = re.compile(r"(?:[0-9]+ *, *)?([0-9a-f]{16,64})", re.IGNORECASE)
"""A link as `voicelog trail` prints it, or its beginning, with its number, as a backup does."""


def trail(
    link: Annotated[
        str | None,
        typer.Option("--link", help="A link noted earlier: does it still stand?", metavar="HEX"),
    ] = None,
    data: DataFolder = None,
) -> None:
    """Go along the audit trail, and name what was changed, removed or put in from outside.

    Note the last link on paper now and then: with --link it shows later whether a whole new
    trail was made up, or its end cut off.

    Example: voicelog trail
    """
    noted = _noted(link)
    store = kept_store(house(data))
    try:
        end = store.check().trail
        stands = noted is None or store.has_link(noted)
    finally:
        store.close()
    if not stands:
        raise StoreError(
            f"The link {noted} does not stand in the audit trail",
            kept="This check changed nothing",
            do="Compare the records with the backup from the time when it was noted",
        )
    links = counted(end.links, "link")
    typer.echo(f"{links}, nothing changed from outside. The last link:\n{end.last}")


def _noted(link: str | None) -> str | None:
    """The digits of a link that was typed. Raises typer.BadParameter when it cannot be one: that
    says nothing about the trail."""
    if link is None:
        return None
    found = _NOTED.fullmatch(link.strip())
    if found is None:
        raise typer.BadParameter(
            "that is no link: 16 to 64 digits, 0 to 9 and a to f, as `voicelog trail` and"
            " `voicelog backup` print them",
            param_hint="--link",
        )
    return found[1]
