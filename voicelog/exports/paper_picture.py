"""Draws the pictures over the visits on paper.

They come as SVG of four shapes with the class names of `voicelog.plots`; style sheets, variables
and light and dark are for screens, so what each class looks like on paper stands here.
"""

import re
from xml.etree import ElementTree

from voicelog.exports.paper import Paper

_SVG = "{http://www.w3.org/2000/svg}"
_Colour = tuple[int, int, int]
_SOFT = (74, 90, 99)
_BLACK = (0, 0, 0)
_WHITE = (255, 255, 255)
_GRID = (213, 218, 222)
_TEXT_PX = {"vl-name": 15.0}
_BAND = 0.11


def draw(paper: Paper, svg: str) -> None:
    """Put a picture under what was written last, over the width of the text."""
    root = ElementTree.fromstring(svg)
    width, height = map(float, root.attrib["viewBox"].split()[2:])
    scale = paper.epw / width
    if paper.will_page_break(height * scale):
        paper.add_page()
    pen = _Pen(paper, scale, _ink(root))
    for element in root:
        pen.put(element)
    paper.set_xy(paper.l_margin, pen.top + height * scale)
    paper.set_font_size(paper.size_pt)
    paper.set_text_color(0)
    paper.set_draw_color(0)


def _ink(root: ElementTree.Element) -> _Colour:
    """The colour of the values in the light, which is the first that the style sheet names."""
    kind = root.attrib["class"].split()[-1]
    style = "".join(root.itertext())
    found = re.search(rf"\.{kind} {{ --vl-ink: #([0-9a-f]{{6}});", style)
    red, green, blue = bytes.fromhex(found[1]) if found else _BLACK
    return red, green, blue


class _Pen:
    def __init__(self, paper: Paper, scale: float, ink: _Colour) -> None:
        self._paper = paper
        self._scale = scale
        self._ink = ink
        self.top = paper.get_y()

    def put(self, element: ElementTree.Element) -> None:
        shape = element.tag.removeprefix(_SVG)
        kind = element.get("class", "")
        if shape == "line":
            self._line(element, kind)
        elif shape == "rect":
            mixed = (round(255 - _BAND * (255 - part)) for part in self._ink)
            self._paper.set_fill_color(*mixed)
            x, y = self._at(element, "x", "y")
            wide, tall = (float(element.attrib[n]) * self._scale for n in ("width", "height"))
            self._paper.rect(x, y, wide, tall, style="F")
        elif shape == "circle":
            self._circle(element, kind)
        elif shape == "text":
            self._text(element, kind)

    def _line(self, element: ElementTree.Element, kind: str) -> None:
        self._paper.set_draw_color(*(_GRID if kind == "vl-grid" else self._ink))
        self._paper.set_line_width(0.2 if kind == "vl-grid" else 0.5)
        if kind == "vl-day":
            self._paper.set_dash_pattern(0.5, 0.8)
        self._paper.line(*self._at(element, "x1", "y1"), *self._at(element, "x2", "y2"))
        self._paper.set_dash_pattern()

    def _circle(self, element: ElementTree.Element, kind: str) -> None:
        self._paper.set_draw_color(*self._ink)
        self._paper.set_line_width(0.5)
        self._paper.set_fill_color(*(_WHITE if kind == "vl-end" else self._ink))
        x, y = self._at(element, "cx", "cy")
        self._paper.circle(x, y, float(element.attrib["r"]) * self._scale, style="DF")

    def _text(self, element: ElementTree.Element, kind: str) -> None:
        text = self._paper.shown(element.text or "")
        points = _TEXT_PX.get(kind, 12.0) * self._scale / 0.3528
        self._paper.set_font(style="B" if kind == "vl-name" else "", size=points)
        self._paper.set_text_color(*(_SOFT if kind == "vl-soft" else _BLACK))
        x, y = self._at(element, "x", "y")
        wide = self._paper.get_string_width(text)
        shift = {"middle": wide / 2, "end": wide}.get(element.get("text-anchor", ""), 0.0)
        self._paper.text(x - shift, y, text)

    def _at(self, element: ElementTree.Element, *names: str) -> tuple[float, float]:
        x, y = (float(element.attrib[name]) * self._scale for name in names)
        return self._paper.l_margin + x, self.top + y
