"""How left beside right, and published ranges, look in a terminal."""

from dataclasses import dataclass

from rich.console import Console

from voicelog.analysis.movement import Movement, reading_of
from voicelog.analysis.reference_range import Person, reference_ranges
from voicelog.analysis.side_difference import SideDifference
from voicelog.analysis.tables import RangeRow
from voicelog.cli.options import bullets
from voicelog.grammar.language import LanguageData
from voicelog.records.entry import Entry
from voicelog.telling.names import movement_words
from voicelog.telling.references import range_row_words, side_words

_CLOSEST = 3


@dataclass(frozen=True, slots=True)
class Movements:
    """The records whose movements are looked up, for whom, and in which rows."""

    records: tuple[Entry, ...]
    person: Person
    rows: tuple[RangeRow, ...]


def sides_view(console: Console, found: tuple[SideDifference, ...], language: LanguageData) -> None:
    """Left beside right, where a visit has a baseline angle of both."""
    if found:
        console.print()
        heading = language.texts.tables.headings.sides
        bullets(console, heading, (side_words(each, language) for each in found))


def ranges_view(console: Console, looked_up: Movements, language: LanguageData) -> None:
    """For each movement of the visit the published ranges that fit the person best."""
    readings = [r for entry in looked_up.records if (r := reading_of(entry)) is not None]
    moved = {(r.movement.joint, r.movement.motion, r.manner.manner): r for r in readings}
    for (joint, motion, manner), reading in moved.items():
        found = reference_ranges(
            looked_up.rows,
            joint,
            motion,
            looked_up.person,
            manner=manner,
            position=reading.manner.position,
        )
        text = language.texts.tables
        movement = movement_words(Movement(None, joint, motion), language)
        words = [range_row_words(row, language) for row in found[:_CLOSEST]]
        console.print()
        bullets(
            console,
            text.headings.ranges.format(movement=movement),
            words or [text.compare.no_range],
        )
