"""The dose of a drill over the visits: repetitions in all, with band and effort below the day."""

from collections.abc import Iterable, Iterator
from math import ceil

from voicelog.analysis.progress import DrillGiven
from voicelog.grammar.language import LanguageData
from voicelog.plots.drawing import (
    RADIUS,
    Axis,
    Frame,
    finished,
    framed,
    places,
    put,
    put_days,
)
from voicelog.telling.names import name_in, named, opened


def dose_plots(
    drills: Iterable[DrillGiven], language: LanguageData
) -> Iterator[tuple[str, tuple[DrillGiven, ...], str]]:
    """A picture of each drill whose sets and repetitions were said: its name, when it was given
    and the SVG text."""
    found: dict[tuple[str, str | None], list[DrillGiven]] = {}
    for given in drills:
        if given.total_reps is not None:
            found.setdefault((given.drill.name, given.drill.side), []).append(given)
    for (name, side), own in found.items():
        slug = "-".join(" ".join(part for part in (side, name) if part).split())
        yield slug, tuple(own), _plot(own, language)


def _plot(own: list[DrillGiven], language: LanguageData) -> str:
    """Each dose as a stem from nought to its repetitions in all."""
    text, drill = language.texts.findings.pictures, own[0].drill
    side, exercise = (
        named("side", drill.side, language),
        name_in(language.drills, drill.name, language),
    )
    name = text.dose_name.format(
        drill=opened(" ".join(part for part in (side, exercise) if part)),
        visits=language.texts.counted(text.visits, len({given.visit_id for given in own})),
    )
    told = " ".join(_told(given, language) for given in own)
    axis = _axis(max(given.total_reps or 0 for given in own))
    svg = framed(Frame(name, text.dose_signs, told, "vl-dose"), axis)
    standing = list(zip(own, places([given.at for given in own]), strict=True))
    put_days(svg, ((given.at, x, _load(given, language)) for given, x in standing))
    for given, x in standing:
        y = axis.y(given.total_reps or 0)
        put(svg, "line", x1=x, y1=axis.y(0), x2=x, y2=y, class_="vl-line")
        dot = put(svg, "circle", cx=x, cy=y, r=RADIUS, class_="vl-start")
        put(dot, "title", _told(given, language))
        put(svg, "text", _sets(given), x=x, y=y - 2 * RADIUS, text_anchor="middle")
    return finished(svg)


def _axis(largest: int) -> Axis:
    """With room for a label above the largest dose."""
    step = next(step for step in (5, 10, 20, 50, 100, 200, 500) if largest < 5 * step)
    return Axis(step * ceil((largest + step / 2) / step), step, "")


def _sets(given: DrillGiven) -> str:
    return f"{given.drill.sets} × {given.drill.reps}"


def _load(given: DrillGiven, language: LanguageData) -> tuple[str, ...]:
    """What the repetitions were done against, as far as it was said."""
    text, drill = language.texts.record, given.drill
    band = text.band.format(value=named("band", drill.band, language)) if drill.band else ""
    effort = "" if drill.effort is None else text.effort.format(effort=drill.effort)
    return tuple(part for part in (band, effort) if part)


def _told(given: DrillGiven, language: LanguageData) -> str:
    text = language.texts.findings.pictures
    told = text.dose.format(
        day=f"{given.at:%Y-%m-%d}",
        sets=given.drill.sets,
        reps=given.drill.reps,
        total=given.total_reps,
    )
    return f"{', '.join((told, *_load(given, language)))}."
