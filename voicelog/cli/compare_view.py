"""How the comparisons of a visit look in a terminal: a table for each movement, then the words."""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import NamedTuple

from rich.console import Console
from rich.table import Table
from rich.text import Text

from voicelog.analysis.comparison import Comparison
from voicelog.analysis.findings import Findings
from voicelog.analysis.movement import Movement, Reading, reading_of
from voicelog.analysis.numbering import (
    Names,
    name_caveat,
    name_direction,
    numbered,
    timed,
)
from voicelog.cli.change_cells import Cells, pain_cells, range_cells
from voicelog.cli.options import bullets
from voicelog.cli.tables import show_table
from voicelog.grammar.language import LanguageData
from voicelog.records.entry import Entry
from voicelog.records.visit import Visit
from voicelog.telling.directions import direction_words, evidence_words
from voicelog.telling.doubts import caveat_words, together
from voicelog.telling.figures import threshold_lines
from voicelog.telling.names import movement_words, named
from voicelog.telling.screen import caution_lines, screen_lines
from voicelog.telling.stops import raised_by, stop_event_words


class Said(NamedTuple):
    """The records of a visit, and what waits to be affirmed."""

    records: tuple[Entry, ...]
    waiting: tuple[Entry, ...] = ()


@dataclass(frozen=True, slots=True)
class _Sheet:
    """Where it is shown, what was found, and how records are named."""

    console: Console
    found: Findings
    names: Names
    language: LanguageData


def compare_view(
    console: Console,
    visit: Visit,
    said: Said,
    found: Findings,
    language: LanguageData,
) -> None:
    """The whole visit."""
    records = said.records
    began, text = f"{visit.started_at:%Y-%m-%d %H:%M}", language.texts
    sitting = text.tables.compare.sitting.format(visit=visit.visit_id, start=began)
    console.print(f"[bold]{visit.client}[/]  {sitting}")
    for line in (*screen_lines(found.screened, language), *caution_lines(found, language)):
        console.print(text.listening.screen.format(line=line))
    names = {**timed(said.waiting), **numbered(records)}
    sheet = _Sheet(console, found, names, language)
    readings = [r for entry in records if (r := reading_of(entry)) is not None]
    for movement in dict.fromkeys(reading.movement for reading in readings):
        _movement(sheet, movement, [r for r in readings if r.movement == movement])
    _list(
        sheet,
        text.tables.headings.after_stop,
        (stop_event_words(event, sheet.names, language) for event in found.stop_events),
    )
    _list(
        sheet,
        text.tables.headings.about,
        (caveat_words(name_caveat(c, sheet.names), language) for c in found.compared.caveats),
    )


def _list(sheet: _Sheet, heading: str, lines: Iterable[str]) -> None:
    told = tuple(lines)
    if told:
        sheet.console.print()
        bullets(sheet.console, heading, told)


def _movement(sheet: _Sheet, movement: Movement, own: list[Reading]) -> None:
    console, found, names, language = sheet.console, sheet.found, sheet.names, sheet.language
    compared = {c.trial: c for c in found.compared.comparisons if c.movement == movement}
    text = language.texts.tables
    table = Table(*text.compare.columns, box=None, pad_edge=False)
    for reading in own:
        for row in _rows(sheet, reading, compared.get(reading.id)):
            table.add_row(*row)
    console.print(f"\n[bold underline]{movement_words(movement, language)}[/]\n")
    show_table(console, table)
    console.print()
    for direction in found.directions:
        if direction.movement == movement:
            told = direction_words(name_direction(direction, names), language)
            evidence = evidence_words(direction, names, language)
            bullets(console, text.headings.eased, (told, evidence))
    bullets(console, text.headings.usual_error, threshold_lines(compared.values(), language))
    caveats = together(c for each in compared.values() for c in each.caveats)
    minded = dict.fromkeys(caveat_words(name_caveat(c, names), language) for c in caveats)
    bullets(console, text.headings.to_mind, minded)


def _rows(
    sheet: _Sheet, reading: Reading, comparison: Comparison | None
) -> Iterable[tuple[str | Text, ...]]:
    names, baseline = sheet.names, comparison.baseline if comparison else None
    text, phase = (
        sheet.language.texts.tables.cells,
        named("phase", reading.trial.phase, sheet.language),
    )
    head = (names[reading.id], phase, names.get(baseline or "", ""))
    heard = [stop for name, stop in sheet.found.compared.baseline_stops if name == reading.id]
    raised = (
        raised_by(stop, sheet.language)
        for stop in (*(comparison.stops if comparison else ()), *heard)
    )
    cells = [
        *_pain(reading, comparison, sheet.language),
        *_range(reading, comparison, sheet.language),
        *((text.stop, "", Text(text.stop_told.format(why=why), "bold red")) for why in raised),
    ]
    for number, cell in enumerate(cells or [(text.no_numbers, "", Text())]):
        yield (*(head if number == 0 else ("", "", "")), *cell)


def _pain(
    reading: Reading, comparison: Comparison | None, language: LanguageData
) -> Iterable[Cells]:
    if comparison is not None and comparison.pain is not None:
        yield pain_cells(comparison.pain, language)
    elif reading.pain is not None:
        yield language.texts.tables.cells.pain.format(pain=reading.pain), "", Text()


def _range(
    reading: Reading, comparison: Comparison | None, language: LanguageData
) -> Iterable[Cells]:
    trial = reading.trial
    for change, angle, what in (
        (comparison and comparison.onset, trial.onset_deg, language.texts.tables.cells.onset),
        (comparison and comparison.range, trial.range_deg, "{degrees}°"),
    ):
        if change is not None:
            yield range_cells(change, language)
        elif angle is not None:
            yield what.format(degrees=angle), "", Text()
