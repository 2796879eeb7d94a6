"""What a language says around the tables of the terminal: headings, captions, short cells."""

from typing import Annotated

from pydantic import Field

from voicelog.grammar.finding_texts import Filled, TextSet

Six = Annotated[list[str], Field(min_length=6, max_length=6)]


class Cells(TextSet):
    """Values as they stand in a cell."""

    onset: Filled


class RecordsTable(TextSet):
    """The records of the visit that just ended."""

    title: Filled
    columns: Six


class TableTexts(TextSet):
    """The tables, by the command that shows them."""

    cells: Cells
    records: RecordsTable
