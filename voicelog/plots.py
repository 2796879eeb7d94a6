"""Progress as pictures: a small SVG writer for pain and range over the visits.

Plain SVG text, so that a picture stands in a note or a page as it is: no script, no font and no
address is fetched. It takes on the colour of the text around it and knows light and dark. (Of the
libraries, matplotlib is heavy and knows no text colour, pygal links a script from the network, and
drawsvg adds little to the standard library's own XML writer.)
"""

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from math import ceil
from xml.etree import ElementTree

from voicelog.analysis.direction import Eased
from voicelog.analysis.movement import Manner, Reading, pain_comparable, range_comparable
from voicelog.analysis.progress import MovementProgress, VisitPoint
from voicelog.grammar.finding_texts import Pictures
from voicelog.grammar.language import LanguageData
from voicelog.grammar.texts import counted
from voicelog.telling.figures import amount, figure_words
from voicelog.telling.names import movement_words

WIDTH, HEIGHT = 640, 300
_LEFT, _RIGHT, _TOP, _BOTTOM = 48, 24, 56, 58
_LABEL_PX = 112
_RADIUS = 5

_STYLE = """
.vl-plot { color: #22303a; font: 12px system-ui, sans-serif; }
.vl-plot text { fill: currentColor; }
.vl-plot .vl-name { font-size: 15px; font-weight: 600; }
.vl-plot .vl-soft { opacity: 0.72; }
.vl-plot .vl-grid { stroke: currentColor; stroke-opacity: 0.14; }
.vl-pain { --vl-ink: #ad4a22; } .vl-range { --vl-ink: #0f6a6c; }
.vl-plot .vl-band { fill: var(--vl-ink); fill-opacity: 0.11; }
.vl-plot .vl-line { stroke: var(--vl-ink); stroke-width: 2; fill: none; }
.vl-plot .vl-day { stroke: var(--vl-ink); stroke-dasharray: 2 3; }
.vl-plot .vl-start { fill: var(--vl-ink); }
.vl-plot .vl-end { fill: none; stroke: var(--vl-ink); stroke-width: 2; }
@media (prefers-color-scheme: dark) {
  .vl-plot { color: #e6ecef; }
  .vl-pain { --vl-ink: #f2a583; } .vl-range { --vl-ink: #74d0c9; }
}
"""


@dataclass(frozen=True, slots=True)
class _Scale:
    """What a plot shows: the value of a reading, its unit, the top of the axis and its steps."""

    kind: str
    language: LanguageData
    unit: str
    value: Callable[[Reading], int | None]
    comparable: Callable[[Manner, Manner], bool]
    top: int
    step: int
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


def pain_plot(progress: MovementProgress, language: LanguageData) -> str:
    """Pain at the first baseline of each visit and at its last retest, as SVG text.

    The band is the usual error around the first visit's value.
    """
    text = language.texts.findings.pictures
    band, words = None, text.one_visit
    if progress.since_first is not None and progress.since_first.pain is not None:
        floor = progress.since_first.pain.rule.floor
        band, words = floor.value, text.pain_band.format(figure=figure_words(floor, language))
    scale = _Scale("pain", language, "", lambda r: r.pain, pain_comparable, 10, 2, band, words)
    return _plot(progress, scale)


def plots(progress: MovementProgress, language: LanguageData) -> Iterator[tuple[str, str]]:
    """Every picture of the movement that has a value, as its kind and SVG text."""
    trials = [r for point in progress.points for r in (point.start, point.end) if r]
    if any(r.pain is not None for r in trials):
        yield "pain", pain_plot(progress, language)
    if any(r.trial.range_deg is not None for r in trials):
        yield "range", range_plot(progress, language)
    if any(r.trial.onset_deg is not None for r in trials):
        yield "pain-start", range_plot(progress, language, onset=True)


def range_plot(progress: MovementProgress, language: LanguageData, *, onset: bool = False) -> str:
    """The end of the range, or where pain starts, at the first baseline and the last retest, as
    SVG text.

    The band is the published error of measuring around the first visit's angle, if one is known.
    """
    text, statuses = language.texts.findings.pictures, language.texts.findings.figures.statuses
    band, words = None, text.no_band
    first = progress.since_first
    change = None if first is None else first.onset if onset else first.range

    def angle(reading: Reading) -> int | None:
        return reading.trial.onset_deg if onset else reading.trial.range_deg

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
        "pain start" if onset else "range",
        language,
        "°",
        angle,
        range_comparable,
        max(30, step * ceil((largest + 1) / step)),
        step,
        band,
        words,
    )
    return _plot(progress, scale)


def _plot(progress: MovementProgress, scale: _Scale) -> str:
    name = scale.text.name.format(
        movement=movement_words(progress.movement, scale.language),
        kind=scale.name,
        visits=counted(scale.text.visits, len(progress.points)),
    )
    slug = "-".join(name.lower().replace(":", "").split())
    svg = ElementTree.Element(
        "svg",
        {
            "xmlns": "http://www.w3.org/2000/svg",
            "viewBox": f"0 0 {WIDTH} {HEIGHT}",
            "class": f"vl-plot vl-{'range' if scale.unit else scale.kind}",
            "role": "img",
            "aria-labelledby": f"{slug}-title {slug}-desc",
        },
    )
    _put(svg, "title", name, id=f"{slug}-title")
    _put(svg, "desc", _told(progress.points, scale), id=f"{slug}-desc")
    _put(svg, "style", _STYLE)
    _put(svg, "text", name, x=16, y=24, class_="vl-name")
    _put(svg, "text", scale.text.signs, x=16, y=42, class_="vl-soft")
    places = list(zip(progress.points, _places(progress.points), strict=True))
    _axis(svg, scale)
    _band(svg, progress.points, scale)
    _days(svg, places, scale.text)
    _values(svg, places, scale)
    _put(svg, "text", f"{scale.band_words}.", x=16, y=HEIGHT - 8, class_="vl-soft")
    return ElementTree.tostring(svg, encoding="unicode")


def _axis(svg: ElementTree.Element, scale: _Scale) -> None:
    for value in range(0, scale.top + 1, scale.step):
        y = _y(value, scale)
        _put(svg, "line", x1=_LEFT, x2=WIDTH - _RIGHT, y1=y, y2=y, class_="vl-grid")
        label = f"{value}{scale.unit}"
        _put(svg, "text", label, x=_LEFT - 8, y=y + 4, text_anchor="end", class_="vl-soft")


def _band(svg: ElementTree.Element, points: tuple[VisitPoint, ...], scale: _Scale) -> None:
    first = next((v for p in points if p.start and (v := scale.value(p.start)) is not None), None)
    if scale.band is None or first is None:
        return
    high, low = min(scale.top, first + scale.band), max(0, first - scale.band)
    _put(
        svg,
        "rect",
        x=_LEFT,
        y=_y(high, scale),
        width=WIDTH - _RIGHT - _LEFT,
        height=_y(low, scale) - _y(high, scale),
        class_="vl-band",
    )


def _days(svg: ElementTree.Element, places: list[tuple[VisitPoint, float]], text: Pictures) -> None:
    """The date of each visit below the axis, with what eased; no two dates touch."""
    free_from = 0.0
    for point, x in places:
        if x < free_from:
            continue
        free_from = x + _LABEL_PX
        y = HEIGHT - _BOTTOM + 18
        _put(svg, "text", f"{point.at:%Y-%m-%d}", x=x, y=y, text_anchor="middle")
        if point.direction is not None and point.direction.eased is not Eased.NOT_ENOUGH:
            eased = text.eased.format(way=text.ways[point.direction.eased])
            _put(svg, "text", eased, x=x, y=y + 15, text_anchor="middle", class_="vl-soft")


def _values(
    svg: ElementTree.Element, places: list[tuple[VisitPoint, float]], scale: _Scale
) -> None:
    before: tuple[float, float, Manner] | None = None
    for point, x in places:
        start, end = (None if r is None else scale.value(r) for r in (point.start, point.end))
        if start is not None and point.start is not None:
            y = _y(start, scale)
            manner = point.start.manner
            if before is not None and scale.comparable(before[2], manner):
                _put(svg, "line", x1=before[0], y1=before[1], x2=x, y2=y, class_="vl-line")
            before = (x, y, manner)
            if end is not None and abs(_y(end, scale) - y) > _RADIUS:
                edge = _y(end, scale) + (_RADIUS if end > start else -_RADIUS)
                _put(svg, "line", x1=x, y1=y, x2=x, y2=edge, class_="vl-day")
        for value, css in ((end, "vl-end"), (start, "vl-start")):
            if value is not None:
                dot = _put(svg, "circle", cx=x, cy=_y(value, scale), r=_RADIUS, class_=css)
                _put(dot, "title", f"{point.at:%Y-%m-%d}: {scale.name} {value}{scale.unit}")


def _places(points: tuple[VisitPoint, ...]) -> list[float]:
    """Where each visit stands from left to right, in proportion to the days between them."""
    margin = _LABEL_PX / 2
    left, right = _LEFT + margin, WIDTH - _RIGHT - margin
    seconds = [(point.at - points[0].at).total_seconds() for point in points]
    if not seconds or seconds[-1] == 0:
        return [(left + right) / 2 for _ in points]
    return [left + (right - left) * each / seconds[-1] for each in seconds]


def _y(value: float, scale: _Scale) -> float:
    return HEIGHT - _BOTTOM - (HEIGHT - _BOTTOM - _TOP) * value / scale.top


def _told(points: Iterable[VisitPoint], scale: _Scale) -> str:
    """The plot for those who hear it: every value with its day."""
    text, parts = scale.text, []
    for point in points:
        start, end = (None if r is None else scale.value(r) for r in (point.start, point.end))
        first = text.not_taken if start is None else f"{start}{scale.unit}"
        last = "" if end is None else text.last.format(value=f"{end}{scale.unit}")
        parts.append(text.first.format(day=f"{point.at:%Y-%m-%d}", value=first, last=last))
    return " ".join([*parts, f"{scale.band_words}."])


def _put(
    parent: ElementTree.Element, tag: str, text: str | None = None, **attributes: float | str
) -> ElementTree.Element:
    child = ElementTree.SubElement(
        parent,
        tag,
        {
            name.rstrip("_").replace("_", "-"): f"{value:.5g}"
            if isinstance(value, float)
            else str(value)
            for name, value in attributes.items()
        },
    )
    child.text = text
    return child
