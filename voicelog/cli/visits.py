"""`voicelog visits`: what has been recorded."""

from typing import Annotated

import typer
from rich.console import Console
from rich.table import Table

from voicelog.cli.options import DataFolder, house, listed_store
from voicelog.cli.tables import show_table


def visits(
    client: Annotated[str | None, typer.Argument(help="Only this client's.")] = None,
    data: DataFolder = None,
) -> None:
    """List the visits, newest last.

    Example: voicelog visits C-014
    """
    built = house(data)
    text, store = built.language.texts.tables.visits, listed_store(built)
    if store is None:
        Console().print(text.none_yet)
        return
    try:
        table = Table(*text.columns, box=None, pad_edge=False)
        found = store.visits(client)
        for visit in found:
            began = visit.started_at.strftime("%Y-%m-%d %H:%M")
            unconfirmed = len(store.unconfirmed(visit.visit_id))
            ended = "" if visit.ended_at else f"  {text.not_ended}"
            table.add_row(
                visit.visit_id,
                visit.client,
                began + ended,
                str(len(store.records(visit.visit_id))),
                str(unconfirmed) if unconfirmed else "",
            )
    finally:
        store.close()
    if found:
        show_table(Console(), table)
    else:
        Console().print(text.none_of.format(client=client) if client else text.none_yet)
