"""`voicelog find`: records by their words, over all clients and years."""

from typing import Annotated

import typer
from rich.console import Console
from rich.table import Table

from voicelog.cli.options import DataFolder, house
from voicelog.dialogue import prompts


def find(
    words: Annotated[list[str], typer.Argument(help="Words, or how they begin.")],
    limit: Annotated[int, typer.Option("--limit", help="How many at most.", min=1)] = 20,
    data: DataFolder = None,
) -> None:
    """Find affirmed records that hold all of these words: joint, motion, trial, client, note.

    Example: voicelog find C-014 ankle dorsi gap
    """
    built = house(data)
    store = built.store()
    try:
        found = store.find(" ".join(words), limit)
    finally:
        store.close()
    text = built.language.texts.tables.find
    table = Table(*text.columns, box=None, pad_edge=False)
    for record in found:
        when = record.spoken_at.astimezone().strftime("%Y-%m-%d %H:%M")
        said = prompts.read_back(built.language, record.content)
        table.add_row(when, record.visit_id, record.client, said)
    Console().print(table if found else text.none)
