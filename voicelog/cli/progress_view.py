"""How a client's course looks in a terminal."""

from collections.abc import Iterator
from typing import NamedTuple

from rich.console import Console
from rich.table import Table
from rich.text import Text

from voicelog.analysis.direction import Eased
from voicelog.analysis.movement import Reading, range_comparable
from voicelog.analysis.numbering import Names, name_caveat
from voicelog.analysis.progress import Change, MovementProgress, Progress, VisitPoint
from voicelog.analysis.scale_change import function_changes, rating_marks
from voicelog.analysis.tables import PainFigure, ScaleFigure
from voicelog.cli.change_cells import Cells, pain_band, pain_cells, range_band, range_cells
from voicelog.cli.marks_view import marks_view
from voicelog.cli.options import bullets
from voicelog.cli.tables import show_table
from voicelog.grammar.language import LanguageData
from voicelog.records.scales import ChangeRating, FunctionScore
from voicelog.telling.doubts import caveat_words
from voicelog.telling.figures import threshold_lines
from voicelog.telling.names import movement_words
from voicelog.telling.references import dose_words, rating_words, scale_words

_BAR = 10


class Course(NamedTuple):
    """A client's course, from how many visits, how its records are named, and in what words."""

    found: Progress
    visits: int
    names: Names
    language: LanguageData


def progress_view(
    console: Console, client: str, course: Course, marks: tuple[PainFigure, ...] = ()
) -> None:
    """Each movement over the visits, with the published marks that are handed in, then drills."""
    found, visits, names, language = course
    text = language.texts.tables
    console.print(f"[bold]{client}[/]  {language.texts.counted(text.progress.visits, visits)}")
    if not found.movements:
        console.print(text.progress.no_trial)
    for movement in found.movements:
        console.print(f"\n[bold underline]{movement_words(movement.movement, language)}[/]\n")
        show_table(console, _table(movement, language))
        console.print()
        _changes(console, movement, names, language)
        if marks and movement.since_first is not None and movement.since_first.pain is not None:
            marks_view(console, movement.since_first.pain, marks, language)
    if found.drills:
        console.print()
        given = (dose_words(drill, language) for drill in found.drills)
        bullets(console, text.headings.drills, given)
    if found.caveats:
        console.print()
        named = (name_caveat(caveat, names) for caveat in found.caveats)
        told = (caveat_words(caveat, language) for caveat in named)
        bullets(console, text.headings.about, told)


def scales_view(
    console: Console,
    scores: tuple[FunctionScore, ...],
    ratings: tuple[ChangeRating, ...],
    figures: tuple[ScaleFigure, ...],
    language: LanguageData,
) -> None:
    """The client's own activities and ratings, oldest first, beside their published figures."""
    text = language.texts.tables
    scores = tuple(sorted(scores, key=lambda score: score.at))
    if scores:
        lines = [_average(score, text.progress.average) for score in scores]
        if len(scores) > 1:
            changes = function_changes(scores[0], scores[-1], figures)
            first_to_last = text.progress.first_to_last
            lines += [first_to_last.format(change=scale_words(c, language)) for c in changes]
        console.print()
        bullets(console, text.headings.activities, lines)
    if ratings:
        console.print()
        bullets(
            console,
            text.headings.ratings,
            [
                f"{r.at:%Y-%m-%d} {rating_words(r.score, rating_marks(r, figures), language)}"
                for r in sorted(ratings, key=lambda rating: rating.at)
            ],
        )


def _table(movement: MovementProgress, language: LanguageData) -> Table:
    table = Table(*language.texts.tables.progress.columns, box=None, pad_edge=False)
    for point in movement.points:
        table.add_row(
            point.visit_id,
            _span(_pain(point.start), _pain(point.end), ""),
            _meter(_pain(point.start)),
            _span(*_ranges(point), "°"),
            "" if point.pain_free_deg is None else f"{point.pain_free_deg}°",
            _eased(point, language),
        )
    return table


def _eased(point: VisitPoint, language: LanguageData) -> str | Text:
    if point.direction is None:
        return ""
    if point.direction.eased is Eased.NOT_ENOUGH:
        return Text(language.texts.tables.progress.not_enough, "dim")
    return language.texts.findings.pictures.ways[point.direction.eased]


def _pain(reading: Reading | None) -> int | None:
    return None if reading is None else reading.pain


def _ranges(point: VisitPoint) -> tuple[int | None, int | None]:
    """Angles taken with two instruments make no span."""
    start, end = point.start, point.end
    if start is not None and end is not None and not range_comparable(start.manner, end.manner):
        end = None
    return _range(start), _range(end)


def _range(reading: Reading | None) -> int | None:
    return None if reading is None else reading.trial.range_deg


def _span(start: int | None, end: int | None, unit: str) -> str:
    """The first baseline of the day and the last retest, such as "6 → 2"."""
    if start is None and end is None:
        return ""
    first = "?" if start is None else f"{start}{unit}"
    return first if end is None else f"{first} → {end}{unit}"


def _meter(pain: int | None) -> Text:
    if pain is None:
        return Text()
    return Text("▮" * pain, "dark_orange3").append("▯" * (_BAR - pain), "grey37")


def _changes(
    console: Console, movement: MovementProgress, names: Names, language: LanguageData
) -> None:
    """The newest visit against the first and against the one before it."""
    text = language.texts.tables
    told = {text.progress.first_visit: movement.since_first}
    if movement.since_last != movement.since_first:
        told[text.progress.visit_before] = movement.since_last
    changes = {against: change for against, change in told.items() if change is not None}
    if not changes:
        console.print(text.progress.one_visit, style="dim")
        return
    table = Table(*text.progress.against, box=None, pad_edge=False)
    for against, change in changes.items():
        rows = [*_banded(change, language)] or [((text.progress.no_match, "", Text()), "")]
        for number, ((values, moved, label), band) in enumerate(rows):
            table.add_row(against if number == 0 else "", values, moved, band, label)
    show_table(console, table)
    console.print()
    bullets(console, text.headings.usual_error, threshold_lines(changes.values(), language))
    caveats = (name_caveat(c, names) for change in changes.values() for c in change.caveats)
    minded = dict.fromkeys(caveat_words(c, language) for c in caveats)
    bullets(console, text.headings.to_mind, minded)


def _banded(change: Change, language: LanguageData) -> Iterator[tuple[Cells, str]]:
    """What changed, each with the error on both sides of it."""
    if change.pain is not None:
        yield pain_cells(change.pain, language), pain_band(change.pain)
    yield from ((range_cells(angle, language), range_band(angle)) for angle in change.angles)


def _average(score: FunctionScore, text: str) -> str:
    activities = ", ".join(f"{activity.name} {activity.score}" for activity in score.activities)
    average = f"{score.average:.3g}"
    return text.format(day=f"{score.at:%Y-%m-%d}", average=average, activities=activities)
