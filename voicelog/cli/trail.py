"""`voicelog trail`: whether anything was changed from outside."""

from typing import Annotated

import typer

from voicelog.cli.options import DataFolder, house
from voicelog.errors import StoreError


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
    store = house(data).store()
    try:
        end = store.check().trail
        stands = link is None or store.has_link(link)
    finally:
        store.close()
    if not stands:
        raise StoreError(
            f"The link {link} does not stand in the audit trail",
            kept="This check changed nothing",
            do="Compare the records with the backup from the time when it was noted",
        )
    typer.echo(f"{end.links} links, nothing changed from outside. The last link:\n{end.last}")
