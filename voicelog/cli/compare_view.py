"""How the comparisons of a visit look in a terminal: a table for each movement, then the words."""

from collections.abc import Iterable

from rich.console import Console
from rich.table import Table
from rich.text import Text

from voicelog.analysis.comparison import Comparison
from voicelog.analysis.doubt_words import caveat_words
from voicelog.analysis.findings import Findings
from voicelog.analysis.movement import Movement, Reading, reading_of
from voicelog.analysis.numbering import (
    Names,
    name_caveat,
    name_direction,
    numbered,
)
from voicelog.analysis.screen_lines import caution_lines, screen_lines
from voicelog.analysis.stops import Stop
from voicelog.analysis.threshold_words import evidence_words, threshold_lines
from voicelog.analysis.words import direction_words, movement_words, stop_event_words
from voicelog.cli.change_cells import Cells, pain_cells, range_cells
from voicelog.cli.options import bullets
from voicelog.records.entry import Entry
from voicelog.records.visit import Visit


def compare_view(
    console: Console, visit: Visit, records: tuple[Entry, ...], found: Findings
) -> None:
    """The whole visit."""
    began = visit.started_at.astimezone()
    console.print(f"[bold]{visit.client}[/]  visit {visit.visit_id}, {began:%Y-%m-%d %H:%M}")
    for line in (*screen_lines(found.screened), *caution_lines(found)):
        console.print(f"Safety screen: {line}")
    names = numbered(records)
    readings = [r for entry in records if (r := reading_of(entry)) is not None]
    for movement in dict.fromkeys(reading.movement for reading in readings):
        own = [reading for reading in readings if reading.movement == movement]
        _movement(console, movement, own, found, names)
    if found.stop_events:
        console.print()
        told = (stop_event_words(event, names) for event in found.stop_events)
        bullets(console, "After a stop event", told)
    about = [caveat_words(name_caveat(c, names)) for c in found.compared.caveats]
    if about:
        console.print()
        bullets(console, "About the records", about)


def _movement(
    console: Console, movement: Movement, own: list[Reading], found: Findings, names: Names
) -> None:
    compared = {c.trial: c for c in found.compared.comparisons if c.movement == movement}
    table = Table("#", "Trial", "With", "", "Change", "That is", box=None, pad_edge=False)
    for reading in own:
        heard = [stop for name, stop in found.compared.baseline_stops if name == reading.id]
        for row in _rows(reading, compared.get(reading.id), heard, names):
            table.add_row(*row)
    console.print(f"\n[bold underline]{movement_words(movement)}[/]\n")
    console.print(table)
    console.print()
    for direction in found.directions:
        if direction.movement == movement:
            told = direction_words(name_direction(direction, names))
            bullets(console, "Which way it eased", (told, evidence_words(direction, names)))
    bullets(console, "Usual error", threshold_lines(compared.values()))
    caveats = (name_caveat(c, names) for each in compared.values() for c in each.caveats)
    bullets(console, "To keep in mind", dict.fromkeys(map(caveat_words, caveats)))


def _rows(
    reading: Reading, comparison: Comparison | None, heard: list[Stop], names: Names
) -> Iterable[tuple[str | Text, ...]]:
    baseline = comparison.baseline if comparison else None
    head = (names[reading.id], reading.trial.phase or "", names.get(baseline or "", ""))
    stops = (*(comparison.stops if comparison else ()), *heard)
    cells = [
        *_pain(reading, comparison),
        *_range(reading, comparison),
        *(("stop", "", Text(f"stop and review: {stop.raised_by}", "bold red")) for stop in stops),
    ]
    for number, cell in enumerate(cells or [("no numbers", "", Text())]):
        yield (*(head if number == 0 else ("", "", "")), *cell)


def _pain(reading: Reading, comparison: Comparison | None) -> Iterable[Cells]:
    if comparison is not None and comparison.pain is not None:
        yield pain_cells(comparison.pain)
    elif reading.pain is not None:
        yield f"pain {reading.pain}", "", Text()


def _range(reading: Reading, comparison: Comparison | None) -> Iterable[Cells]:
    trial = reading.trial
    for change, angle, what in (
        (comparison and comparison.onset, trial.onset_deg, "pain from "),
        (comparison and comparison.range, trial.range_deg, ""),
    ):
        if change is not None:
            yield range_cells(change)
        elif angle is not None:
            yield f"{what}{angle}°", "", Text()
