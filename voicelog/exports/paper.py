"""A4 pages: fonts, margins, page numbers, and the pieces that both kinds of PDF are made of."""

from collections.abc import Iterable
from datetime import datetime
from importlib.resources import as_file, files
from math import sqrt

from fpdf import FPDF, XPos, YPos
from fpdf.enums import TableBordersLayout
from fpdf.fonts import FontFace, TTFFont

from voicelog.errors import ExportError
from voicelog.grammar.language import LanguageData

_FONT = "sans"
_FACES = {"": "SourceSansPro-Regular.ttf", "B": "SourceSansPro-Bold.ttf"}
_NO_SIGN = "☐"
_BULLET = "•"
_GAP_MM = 1.2
"""Between two columns of a table."""
_SIMPLER = str.maketrans({"●": "•", "○": "o"})


class Paper(FPDF):
    """A PDF that is being written from top to bottom. `size_pt` is the size of plain text.

    Signs that the font lacks become ☐, and `finished` says so on the last page.
    """

    def __init__(
        self,
        title: str,
        at: datetime,
        size_pt: float,
        language: LanguageData,
        *,
        margin_mm: float = 18,
    ) -> None:
        super().__init__(format="A4")
        self.size_pt = size_pt
        self._name = title
        self._text = language.texts.paper
        self._lacks = False
        self._signs = _with_faces(self)
        self.set_title(self.shown(title))
        self.set_lang(language.code)
        self.set_creator("voicelog")
        self.set_creation_date(at)
        self.set_margin(margin_mm)
        self.set_auto_page_break(True, max(margin_mm, 15))
        self.set_font(_FONT, "", size_pt)
        self.add_page()

    def footer(self) -> None:
        """The number of the page, and what it is a page of."""
        self.set_y(-13)
        self.set_font(_FONT, "", 8.5)
        self.set_text_color(80)
        foot = self._text.foot.format(title=self._name, page=self.page_no(), pages="{nb}")
        self.cell(0, 5, self.shown(foot), align="C")
        self.set_text_color(0)

    def heading(self, text: str, level: int, *, outlined: bool = True) -> None:
        """A heading that stays with what follows, and stands in the outline."""
        scale, above, lines = {1: (1.5, 0.0, 6), 2: (1.25, 0.4, 6), 3: (1.05, 0.2, 4)}[level]
        self.ln(self._line_mm * above)
        if self.will_page_break(self._line_mm * lines):
            self.add_page()
        if outlined:
            self.start_section(self.shown(text), level - 1)
        self.set_font(_FONT, "B", self.size_pt * scale)
        self._lines(text, self._line_mm * scale)
        self.set_font(_FONT, "", self.size_pt)

    def words(self, runs: Iterable[tuple[str, bool]], *, bullet: bool = False) -> None:
        """A paragraph or a list item: runs of text, each plain or bold."""
        margin = self.l_margin
        if bullet:
            self.cell(self.size_pt * 0.4, self._line_mm, _BULLET)
            self.set_left_margin(margin + self.size_pt * 0.4)
        for text, bold in runs:
            self.set_font(_FONT, "B" if bold else "", self.size_pt)
            self.write(self._line_mm, self.shown(text))
        self.set_left_margin(margin)
        self.set_font(_FONT, "", self.size_pt)
        self.ln(self._line_mm * 1.05)

    def table_of(self, rows: list[list[str]]) -> None:
        """A table whose first row is its header, repeated on every page it runs over."""
        self.set_draw_color(170)
        with self.table(
            borders_layout=TableBordersLayout.HORIZONTAL_LINES,
            col_widths=self._widths_mm(rows),
            headings_style=FontFace(emphasis="BOLD", color=70),
            line_height=self._line_mm * 0.95,
            text_align="LEFT",
            padding=(0.8, _GAP_MM, 0.8, 0),
        ) as table:
            for cells in rows:
                row = table.row()
                for cell in cells:
                    row.cell(self.shown(cell))
        self.set_draw_color(0)
        self.ln(self._line_mm * 0.4)

    def write_line(self, what: str, value: str) -> None:
        """A value, or a line to write it on."""
        if value:
            self.words(((f"{what} ", False), (value, True)))
            return
        self.cell(self.get_string_width(f"{what}  "), self._line_mm, what)
        y = self.get_y() + self._line_mm * 0.85
        self.line(self.get_x() + 2, y, min(self.get_x() + 90, self.w - self.r_margin), y)
        self.ln(self._line_mm * 1.3)

    def finished(self) -> bytes:
        """The whole file."""
        if self._lacks:
            self.ln(self._line_mm)
            self.words(((self._text.lacks.format(sign=_NO_SIGN), False),))
        whole = bytes(self.output())
        self.let_go()
        return whole

    def let_go(self) -> None:
        """Close the files of the fonts, which the library leaves open."""
        _close_faces(self)

    def _widths_mm(self, rows: list[list[str]]) -> list[float]:
        """Each column as wide as its widest word, so that no word is broken. What is left of the
        page goes to those with longer cells, to one that is four times as long twice as much."""
        self.set_font(style="B")
        columns = [[self.shown(cell) for cell in column] for column in zip(*rows, strict=True)]
        own = _GAP_MM + 2 * self.c_margin
        least = [
            own + max(map(self.get_string_width, " ".join(c).split() or [""])) for c in columns
        ]
        whole = [own + max(map(self.get_string_width, c)) for c in columns]
        self.set_font(style="")
        left = max(0.0, self.epw - sum(least))
        longer = [sqrt(all_of_it - word) for all_of_it, word in zip(whole, least, strict=True)]
        share = left / (sum(longer) or 1.0)
        return [word + more * share for word, more in zip(least, longer, strict=True)]

    @property
    def _line_mm(self) -> float:
        return self.size_pt * 0.3528 * 1.3

    def _lines(self, text: str, height: float) -> None:
        self.multi_cell(0, height, self.shown(text), align="L", new_x=XPos.LMARGIN, new_y=YPos.NEXT)

    def refuse_unreadable(self, texts: Iterable[str], instead: str) -> None:
        """Raise ExportError, naming the format to take instead, where a language's own words could
        not be read: no one must get a caution whose signs the font does not have."""
        needed = set("".join(texts).translate(_SIMPLER))
        if all(ord(sign) in self._signs or sign.isspace() for sign in needed):
            return
        self.let_go()
        raise ExportError(
            "The font of the PDFs lacks signs of this language",
            kept="Nothing was written",
            do=f"Take the format {instead}, and print it from a browser",
        )

    def shown(self, text: str) -> str:
        """The text as this print can show it."""
        text = text.translate(_SIMPLER)
        known = self._signs
        shown = "".join(c if ord(c) in known or c.isspace() else _NO_SIGN for c in text)
        self._lacks = self._lacks or (_NO_SIGN in shown and _NO_SIGN not in text)
        return shown


def signs_lacking(text: str) -> str:
    """The signs of a text that the font lacks, each once, in the order of the text."""
    file = FPDF()
    known = _with_faces(file)
    _close_faces(file)
    lacking = (c for c in text.translate(_SIMPLER) if ord(c) not in known and not c.isspace())
    return "".join(dict.fromkeys(lacking))


def _with_faces(file: FPDF) -> frozenset[int]:
    """Give a file its font; the signs that the font has."""
    folder = files("font_source_sans_pro") / "files"
    for style, name in _FACES.items():
        with as_file(folder / name) as path:
            file.add_font(_FONT, style, path)
    plain = file.fonts[_FONT]
    return frozenset(plain.cmap if isinstance(plain, TTFFont) else ())


def _close_faces(file: FPDF) -> None:
    for font in file.fonts.values():
        if isinstance(font, TTFFont):
            font.ttfont.close()
