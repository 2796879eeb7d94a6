"""`voicelog scale`: what the client says of own activities, and of the change as a whole."""

from typing import Annotated, get_args

import typer
from pydantic import ValidationError
from rich.console import Console

from voicelog.analysis.scale_change import function_changes, rating_marks
from voicelog.cli.options import (
    ClientArgument,
    DataFolder,
    Practitioner,
    client_code,
    house,
    one_of,
)
from voicelog.clock import here_and_now
from voicelog.records.scales import Activity, ChangeRating, FunctionScore, Region
from voicelog.store.base import Store
from voicelog.telling.references import rating_words, scale_words
from voicelog.wiring import House

KINDS = ("function", "change")
_FORMS = {"11": "11 points", "15": "15 points"}


def scale(
    client: ClientArgument,
    kind: Annotated[
        str,
        typer.Argument(
            help="function: 3 to 5 activities of the client's own, 0 cannot to 10 as before. "
            "change: how much better or worse the client feels, 0 the same.",
            metavar="function|change",
        ),
    ],
    activity: Annotated[
        list[str] | None, typer.Option("--activity", help="One activity; give each its --score.")
    ] = None,
    score: Annotated[
        list[int] | None, typer.Option("--score", help="Score of the activity before it, 0-10.")
    ] = None,
    rating: Annotated[
        int | None, typer.Option("--rating", help="Rating of change: below 0 worse, above better.")
    ] = None,
    form: Annotated[
        str, typer.Option("--form", help="Points of the rating: 11 (-5 to 5) or 15 (-7 to 7).")
    ] = "15",
    region: Annotated[
        str, typer.Option("--region", help=f"One of {', '.join(get_args(Region))}.")
    ] = "any",
    practitioner: Practitioner = None,
    data: DataFolder = None,
) -> None:
    """Put an entry of a scale on file, beside its published figures.

    Example: voicelog scale C-014 function --activity stairs --score 4 --activity "lift a cup"
    --score 6 --activity sleep --score 7
    """
    code = client_code(client, "CLIENT")
    one_of(kind, KINDS, "KIND")
    one_of(form, tuple(_FORMS), "--form")
    one_of(region, get_args(Region), "--region")
    built = house(data, practitioner)
    store = built.store()
    try:
        visits = store.visits(code)
        told: dict[str, object] = {
            "client": code,
            "visit_id": visits[-1].visit_id if visits else None,
            "at": here_and_now(),
            "by": built.settings.practitioner,
            "region": region,
        }
        if kind == "function":
            entry: FunctionScore | ChangeRating = _function(told, activity or [], score or [])
        else:
            entry = _change(told, rating, _FORMS[form])
        lines = _words(store, entry, built)
        if code not in store.clients():
            new_client = built.language.texts.tables.progress.new_client
            lines.append(new_client.format(client=code, command=f"voicelog forget {code}"))
        store.add_facts(entry)
    finally:
        store.close()
    console = Console(highlight=False)
    for line in lines:
        console.print(line)


def _function(told: dict[str, object], names: list[str], scores: list[int]) -> FunctionScore:
    if len(names) != len(scores):
        raise typer.BadParameter(
            f"each activity needs its own score: there are {len(scores)} for {len(names)}",
            param_hint="--activity",
        )
    if len({name.strip().lower() for name in names}) != len(names):
        raise typer.BadParameter("an activity stands there twice", param_hint="--activity")
    if not 3 <= len(names) <= 5:
        raise typer.BadParameter(
            f"the scale takes 3 to 5 activities, not {len(names)}", param_hint="--activity"
        )
    try:
        activities = tuple(
            Activity(name=name, score=each) for name, each in zip(names, scores, strict=True)
        )
    except ValidationError:
        raise typer.BadParameter(
            "an activity has a name, and a score from 0 (cannot do it) to 10 (as before)",
            param_hint="--score",
        ) from None
    return FunctionScore.model_validate({**told, "activities": activities})


def _change(told: dict[str, object], rating: int | None, form: str) -> ChangeRating:
    if rating is None:
        raise typer.BadParameter("say how much, such as --rating 3", param_hint="--rating")
    try:
        return ChangeRating.model_validate({**told, "form": form, "score": rating})
    except ValidationError:
        end = 5 if form == "11 points" else 7
        raise typer.BadParameter(
            f"the form of {form} goes from -{end} (far worse) to {end} (far better)",
            param_hint="--rating",
        ) from None


def _words(store: Store, entry: FunctionScore | ChangeRating, built: House) -> list[str]:
    """What was put on file, beside the entry before it."""
    figures, language = built.tables.scales, built.language
    if isinstance(entry, ChangeRating):
        return [rating_words(entry.score, rating_marks(entry, figures), language)]
    put_on_file = language.texts.tables.progress.put_on_file
    lines = [put_on_file.format(average=f"{entry.average:.3g}")]
    before = store.facts(entry.client, FunctionScore)
    if before:
        changes = function_changes(before[-1], entry, figures)
        lines += [scale_words(change, language) for change in changes]
    return lines
