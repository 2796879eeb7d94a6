"""A small SVG writer: what every picture over the visits is drawn with.

Plain SVG text, so that a picture stands in a note or a page as it is: no script, no font and no
address is fetched. It takes on the colour of the text around it and knows light and dark. (Of the
libraries, matplotlib is heavy and knows no text colour, pygal links a script from the network, and
drawsvg adds little to the standard library's own XML writer.)
"""

from collections.abc import Iterable, Sequence
from datetime import datetime
from typing import NamedTuple
from xml.etree import ElementTree

WIDTH, HEIGHT = 640, 300
LEFT, RIGHT, TOP, BOTTOM = 48, 24, 56, 58
RADIUS = 5
_LABEL_PX = 112

_STYLE = """
.vl-plot { color: #22303a; font: 12px system-ui, sans-serif; }
.vl-plot text { fill: currentColor; }
.vl-plot .vl-name { font-size: 15px; font-weight: 600; }
.vl-plot .vl-soft { opacity: 0.72; }
.vl-plot .vl-grid { stroke: currentColor; stroke-opacity: 0.14; }
.vl-pain { --vl-ink: #ad4a22; } .vl-range { --vl-ink: #0f6a6c; }
.vl-dose { --vl-ink: #4b4f8f; }
.vl-plot .vl-band { fill: var(--vl-ink); fill-opacity: 0.11; }
.vl-plot .vl-line { stroke: var(--vl-ink); stroke-width: 2; fill: none; }
.vl-plot .vl-day { stroke: var(--vl-ink); stroke-dasharray: 2 3; }
.vl-plot .vl-start { fill: var(--vl-ink); }
.vl-plot .vl-end { fill: none; stroke: var(--vl-ink); stroke-width: 2; }
@media (prefers-color-scheme: dark) {
  .vl-plot { color: #e6ecef; }
  .vl-pain { --vl-ink: #f2a583; } .vl-range { --vl-ink: #74d0c9; }
  .vl-dose { --vl-ink: #b9bdf2; }
}
"""


class Axis(NamedTuple):
    """The axis of values: its top, the step from line to line, and the unit of its labels."""

    top: int
    step: int
    unit: str

    def y(self, value: float) -> float:
        """How far down a value stands."""
        return HEIGHT - BOTTOM - (HEIGHT - BOTTOM - TOP) * value / self.top


class Frame(NamedTuple):
    """What is written over a picture: its name and signs; all of it told; and its colour."""

    name: str
    signs: str
    told: str
    css: str


def framed(frame: Frame, axis: Axis) -> ElementTree.Element:
    """A picture with its words and its axis, still without values."""
    slug = "-".join(frame.name.lower().replace(":", "").split())
    svg = ElementTree.Element(
        "svg",
        {
            "xmlns": "http://www.w3.org/2000/svg",
            "viewBox": f"0 0 {WIDTH} {HEIGHT}",
            "class": f"vl-plot {frame.css}",
            "role": "img",
            "aria-labelledby": f"{slug}-title {slug}-desc",
        },
    )
    put(svg, "title", frame.name, id=f"{slug}-title")
    put(svg, "desc", frame.told, id=f"{slug}-desc")
    put(svg, "style", _STYLE)
    put(svg, "text", frame.name, x=16, y=24, class_="vl-name")
    put(svg, "text", frame.signs, x=16, y=42, class_="vl-soft")
    for value in range(0, axis.top + 1, axis.step):
        y = axis.y(value)
        put(svg, "line", x1=LEFT, x2=WIDTH - RIGHT, y1=y, y2=y, class_="vl-grid")
        label = f"{value}{axis.unit}"
        put(svg, "text", label, x=LEFT - 8, y=y + 4, text_anchor="end", class_="vl-soft")
    return svg


def finished(svg: ElementTree.Element, foot: str = "") -> str:
    """The whole picture as text, with its last line."""
    if foot:
        put(svg, "text", foot, x=16, y=HEIGHT - 8, class_="vl-soft")
    return ElementTree.tostring(svg, encoding="unicode")


def places(times: Sequence[datetime]) -> list[float]:
    """Where each visit stands from left to right, in proportion to the days between them."""
    margin = _LABEL_PX / 2
    left, right = LEFT + margin, WIDTH - RIGHT - margin
    seconds = [(at - times[0]).total_seconds() for at in times]
    if not seconds or seconds[-1] == 0:
        return [(left + right) / 2 for _ in times]
    return [left + (right - left) * each / seconds[-1] for each in seconds]


def put_days(
    svg: ElementTree.Element, visits: Iterable[tuple[datetime, float, tuple[str, ...]]]
) -> None:
    """The date of each visit below the axis, with lines under it; no two dates touch."""
    free_from = 0.0
    for at, x, under in visits:
        if x < free_from:
            continue
        free_from = x + _LABEL_PX
        y = HEIGHT - BOTTOM + 18
        put(svg, "text", f"{at:%Y-%m-%d}", x=x, y=y, text_anchor="middle")
        for line, text in enumerate(under, start=1):
            put(svg, "text", text, x=x, y=y + 15 * line, text_anchor="middle", class_="vl-soft")


def put(
    parent: ElementTree.Element, tag: str, text: str | None = None, **attributes: float | str
) -> ElementTree.Element:
    """A shape or a text in the picture; `class_` and `text_anchor` are the names of SVG."""
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
