"""`voicelog progress`: one client over the visits."""

from pathlib import Path
from typing import Annotated

import typer
from rich.console import Console

from voicelog.analysis.movement import Movement
from voicelog.analysis.numbering import by_day
from voicelog.analysis.progress import Progress
from voicelog.analysis.progress import progress as course
from voicelog.cli.options import ClientArgument, DataFolder, Over, client_code, house, kept_store
from voicelog.cli.progress_view import Course, progress_view, scales_view
from voicelog.errors import ExportError, StoreError
from voicelog.exports.files import write_file
from voicelog.grammar.language import LanguageData
from voicelog.plots import dose_plots, plots
from voicelog.records.scales import ChangeRating, FunctionScore


def progress(
    client: ClientArgument,
    svg: Annotated[
        Path | None,
        typer.Option(
            "--svg", help="Also draw each movement and dose into this folder.", metavar="DIR"
        ),
    ] = None,
    over: Over = False,
    marks: Annotated[
        bool, typer.Option("--marks", help="Also set each fall of pain beside published marks.")
    ] = False,
    data: DataFolder = None,
) -> None:
    """Show pain and range over the visits, what changed beyond error, drills and scales.

    Visits compare by the first baseline of each day.

    Example: voicelog progress C-014 --svg pictures
    """
    code = client_code(client, "CLIENT")
    built = house(data)
    store = kept_store(built)
    try:
        visits = store.visits(code)
        scores, ratings = store.facts(code, FunctionScore), store.facts(code, ChangeRating)
        if not visits and not scores and not ratings:
            raise StoreError(
                f"Nothing is on record for {code}",
                do="Look at the list of clients with: voicelog visits",
            )
        records = [record for visit in visits for record in store.records(visit.visit_id)]
    finally:
        store.close()
    found = course(code, records, built.comparer)
    console = Console(highlight=False)
    shown = Course(found, len(visits), by_day(records), built.language)
    progress_view(console, code, shown, built.tables.pain if marks else ())
    scales_view(console, scores, ratings, built.tables.scales, built.language)
    if svg is not None:
        for path in _draw(svg, code, found, built.language, over=over):
            drawn = built.language.texts.tables.progress.drawn
            console.print(drawn.format(file=path), soft_wrap=True)


def _draw(
    folder: Path, client: str, found: Progress, language: LanguageData, *, over: bool
) -> list[Path]:
    """Pictures of pain, range and dose. Raises ExportError."""
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise ExportError(
            f"The folder {folder} cannot be made: {error.strerror or error}",
            kept="Nothing was drawn, and all records are still in the store",
            do="Choose another place",
        ) from error
    written: list[Path] = []
    named = [
        (f"{_slug(movement.movement)}-{kind}", picture)
        for movement in found.movements
        for kind, picture in plots(movement, language)
    ]
    named += [(f"{name}-dose", svg) for name, _, svg in dose_plots(found.drills, language)]
    for name, picture in named:
        written.append(folder / f"{client}-{name}.svg")
        write_file(written[-1], picture, over=over)
    return written


def _slug(movement: Movement) -> str:
    return "-".join("-".join(word.split()) for word in movement if word)
