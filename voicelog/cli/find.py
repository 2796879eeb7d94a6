"""`voicelog find`: records by their words, over all clients and years."""

from typing import Annotated

import typer
from rich.console import Console
from rich.table import Table

from voicelog.cli.options import DataFolder, house, listed_store
from voicelog.cli.tables import show_table
from voicelog.dialogue import prompts
from voicelog.telling.asked_words import ways_to_ask


def find(
    words: Annotated[list[str], typer.Argument(help="Words, or how they begin.")],
    limit: Annotated[
        int, typer.Option("--limit", help="How many at most: those kept or put right last.", min=1)
    ] = 20,
    data: DataFolder = None,
) -> None:
    """Find affirmed records that hold all of these words: joint, motion, trial, client, note.

    A word counts as it stands in a note, and as what it means when it is dictated. What was spoken
    last comes first.

    Example: voicelog find C-014 ankle dorsi gap
    """
    built = house(data)
    text, store = built.language.texts.tables.find, listed_store(built)
    if store is None:
        Console().print(text.none)
        return
    try:
        ways = ways_to_ask(words, built.language)
        hits = {r.entry_id: r for way in ways for r in store.find(way, limit)}
    finally:
        store.close()
    kept_last = sorted(hits.values(), key=lambda record: record.at, reverse=True)[:limit]
    found = sorted(kept_last, key=lambda record: record.spoken_at, reverse=True)
    table = Table(*text.columns, box=None, pad_edge=False)
    for record in found:
        when = record.spoken_at.strftime("%Y-%m-%d %H:%M")
        said = prompts.read_back(built.language, record.content)
        table.add_row(when, record.visit_id, record.client, said)
    if found:
        show_table(Console(), table)
    else:
        Console().print(text.none)
