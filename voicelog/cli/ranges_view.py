"""How left beside right, and published ranges, look in a terminal."""

from rich.console import Console

from voicelog.analysis.movement import Movement, reading_of
from voicelog.analysis.reference_range import Person, reference_ranges
from voicelog.analysis.reference_words import range_row_words, side_words
from voicelog.analysis.side_difference import SideDifference
from voicelog.analysis.tables import RangeRow
from voicelog.analysis.words import movement_words
from voicelog.cli.options import bullets
from voicelog.records.entry import Entry

_CLOSEST = 3


def sides_view(console: Console, found: tuple[SideDifference, ...]) -> None:
    """Left beside right, where a visit has a baseline angle of both."""
    if found:
        console.print()
        bullets(console, "Left beside right", map(side_words, found))


def ranges_view(
    console: Console, records: tuple[Entry, ...], person: Person, rows: tuple[RangeRow, ...]
) -> None:
    """For each movement of the visit the published ranges that fit the person best."""
    readings = [r for entry in records if (r := reading_of(entry)) is not None]
    moved = {(r.movement.joint, r.movement.motion, r.manner.manner): r for r in readings}
    for (joint, motion, manner), reading in moved.items():
        found = reference_ranges(
            rows, joint, motion, person, manner=manner, position=reading.manner.position
        )
        words = [range_row_words(row) for row in found[:_CLOSEST]]
        console.print()
        bullets(
            console,
            f"Published range, {movement_words(Movement(None, joint, motion))}",
            words or ["None is in the tables for this person."],
        )
