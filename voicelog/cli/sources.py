"""`voicelog sources`: the publications behind the keys that stand beside figures."""

from typing import Annotated

import typer


def sources(
    keys: Annotated[
        list[str] | None, typer.Argument(help="Keys as they stand beside figures; without, all.")
    ] = None,
) -> None:
    """Name the publications behind the figures, and how much of each was read.

    Example: voicelog sources CHILDS2005
    """
    from voicelog.data_files.reference_tables import load_tables

    known = load_tables().sources
    for key in (asked.upper() for asked in keys or known):
        if key not in known:
            raise typer.BadParameter(
                f"no figure stands on {key!r}; without a key all are listed", param_hint="KEYS"
            )
        source = known[key]
        typer.echo(f"{key} ({source.status})\n  {source.citation}")
        if source.address:
            typer.echo(f"  {source.address}")
