"""A movement over the visits: pain, the range, and the range that is free of pain."""

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from math import ceil
from xml.etree import ElementTree

from voicelog.analysis.direction import Eased
from voicelog.analysis.movement import Manner, Reading, pain_comparable, range_comparable
from voicelog.analysis.progress import MovementProgress, VisitPoint, pain_free_deg
from voicelog.grammar.finding_texts import Pictures
from voicelog.grammar.language import LanguageData
from voicelog.plots.drawing import (
    LEFT,
    RADIUS,
    RIGHT,
    WIDTH,
    Axis,
    Frame,
    finished,
    framed,
    places,
    put,
    put_days,
)
from voicelog.telling.figures import amount, figure_words
from voicelog.telling.names import movement_words


@dataclass(frozen=True, slots=True)
class _Scale:
    """What a plot shows: the value of a reading, and the axis on which it stands."""

    kind: str
    language: LanguageData
    axis: Axis
    value: Callable[[Reading], int | None]
    comparable: Callable[[Manner, Manner], bool]
    band: float | None
    band_words: str

    @property
    def text(self) -> Pictures:
        """What is written in the picture."""
        return self.language.texts.findings.pictures

    @property
    def name(self) -> str:
        """What is shown, as it is written."""
        return self.text.kinds[self.kind]

    def of(self, point: VisitPoint) -> tuple[int | None, int | None]:
        """The values of a visit: its start, and its end where that compares with the start."""
        start, end = point.start, point.end
        if start is not None and end is not None and not self.comparable(start.manner, end.manner):
            end = None
        return start and self.value(start), end and self.value(end)

    def shown(self, value: int) -> str:
        """A value with its unit."""
        return f"{value}{self.axis.unit}"


def pain_plot(progress: MovementProgress, language: LanguageData) -> str:
    """Pain at the first baseline of each visit and at its last retest, as SVG text.

    The band is the usual error around the first visit's value.
    """
    text = language.texts.findings.pictures
    band, words = None, text.one_visit
    if progress.since_first is not None and progress.since_first.pain is not None:
        floor = progress.since_first.pain.rule.floor
        band, words = floor.value, text.pain_band.format(figure=figure_words(floor, language))
    axis = Axis(10, 2, "")
    scale = _Scale("pain", language, axis, lambda r: r.pain, pain_comparable, band, words)
    return _plot(progress, scale)


def range_plot(
    progress: MovementProgress, language: LanguageData, *, pain_free: bool = False
) -> str:
    """The end of the range, or the range that is free of pain, at the first baseline and the last
    retest, as SVG text.

    The band is the published error of measuring around the first visit's angle, if one is known.
    """
    text, statuses = language.texts.findings.pictures, language.texts.findings.figures.statuses
    band, words = None, text.no_band
    first = progress.since_first
    change = None if first is None else first.range
    if first is not None and pain_free:
        change = first.onset or first.range

    def angle(reading: Reading) -> int | None:
        return pain_free_deg(reading) if pain_free else reading.trial.range_deg

    if change is not None and change.error is not None:
        error, row = change.error.degrees, change.error.row
        degrees = amount(f"{error:.1f}", "degrees", language)
        band = error
        words = text.range_band.format(
            error=f"{degrees} ({row.source_key}, {statuses[row.status]})"
        )
    angles = [angle(r) or 0 for p in progress.points for r in (p.start, p.end) if r]
    largest = max(angles, default=0)
    step = 10 if largest < 60 else 30
    scale = _Scale(
        "pain free" if pain_free else "range",
        language,
        Axis(max(30, step * ceil((largest + 1) / step)), step, "°"),
        angle,
        range_comparable,
        band,
        words,
    )
    return _plot(progress, scale)


def _plot(progress: MovementProgress, scale: _Scale) -> str:
    text, points = scale.text, progress.points
    name = text.name.format(
        movement=movement_words(progress.movement, scale.language),
        kind=scale.name,
        visits=scale.language.texts.counted(text.visits, len(points)),
    )
    css = "vl-range" if scale.axis.unit else "vl-pain"
    foot = f"{scale.band_words}."
    svg = framed(Frame(name, text.signs, _told(points, scale), css), scale.axis)
    standing = list(zip(points, places([point.at for point in points]), strict=True))
    _band(svg, points, scale)
    put_days(svg, ((point.at, x, _eased(point, text)) for point, x in standing))
    _values(svg, standing, scale)
    return finished(svg, foot)


def _band(svg: ElementTree.Element, points: tuple[VisitPoint, ...], scale: _Scale) -> None:
    first = next((v for p in points if p.start and (v := scale.value(p.start)) is not None), None)
    if scale.band is None or first is None:
        return
    high = scale.axis.y(min(scale.axis.top, first + scale.band))
    low = scale.axis.y(max(0, first - scale.band))
    wide = WIDTH - RIGHT - LEFT
    put(svg, "rect", x=LEFT, y=high, width=wide, height=low - high, class_="vl-band")


def _eased(point: VisitPoint, text: Pictures) -> tuple[str, ...]:
    if point.direction is None or point.direction.eased is Eased.NOT_ENOUGH:
        return ()
    return (text.eased.format(way=text.ways[point.direction.eased]),)


def _values(
    svg: ElementTree.Element, standing: list[tuple[VisitPoint, float]], scale: _Scale
) -> None:
    before: tuple[float, float, Manner] | None = None
    for point, x in standing:
        start, end = scale.of(point)
        if start is not None and point.start is not None:
            y = scale.axis.y(start)
            manner = point.start.manner
            if before is not None and scale.comparable(before[2], manner):
                put(svg, "line", x1=before[0], y1=before[1], x2=x, y2=y, class_="vl-line")
            before = (x, y, manner)
            if end is not None and abs(scale.axis.y(end) - y) > RADIUS:
                edge = scale.axis.y(end) + (RADIUS if end > start else -RADIUS)
                put(svg, "line", x1=x, y1=y, x2=x, y2=edge, class_="vl-day")
        for value, css in ((end, "vl-end"), (start, "vl-start")):
            if value is not None:
                dot = put(svg, "circle", cx=x, cy=scale.axis.y(value), r=RADIUS, class_=css)
                put(dot, "title", f"{point.at:%Y-%m-%d}: {scale.name} {scale.shown(value)}")


def _told(points: Iterable[VisitPoint], scale: _Scale) -> str:
    """The plot for those who hear it: every value with its day."""
    text, parts = scale.text, []
    for point in points:
        start, end = scale.of(point)
        first = text.not_taken if start is None else scale.shown(start)
        last = "" if end is None else text.last.format(value=scale.shown(end))
        parts.append(text.first.format(day=f"{point.at:%Y-%m-%d}", value=first, last=last))
    return " ".join([*parts, f"{scale.band_words}."])
