"""The cheat sheet as a PDF: two columns, in the largest print that fits on two pages of A4."""

from datetime import datetime

from voicelog.cheat_sheet.sections import sections, title
from voicelog.exports.paper import Paper
from voicelog.grammar.language import LanguageData

SIZES_PT = (14.0, 13.0, 12.0, 11.0)
"""At arm's length (60 cm) capitals of 16 minutes of arc, the least that ISO 9241-303 asks for (from
memory), are 2.8 mm high: 12 points. Only a sheet too full for two pages gets smaller."""
MOST_PAGES = 2
_MARGIN_MM, _GUTTER_MM, _FOOT_MM = 12.0, 8.0, 18.0


def render(language: LanguageData, at: datetime) -> bytes:
    """The file, dated `at`. What does not fit in the smallest print goes on a third page.

    Raises ExportError when the font lacks signs of the language.
    """
    *larger, smallest = SIZES_PT
    for size_pt in larger:
        paper = _written(language, at, size_pt)
        if paper.page_no() <= MOST_PAGES:
            return paper.finished()
        paper.let_go()
    return _written(language, at, smallest).finished()


def _written(language: LanguageData, at: datetime, size_pt: float) -> Paper:
    paper = Paper(title(language), at, size_pt, language, margin_mm=_MARGIN_MM)
    said = (text for section in sections(language) for row in section.rows for text in row)
    paper.refuse_unreadable(said, "html")
    paper.set_lang(language.code)
    paper.set_auto_page_break(False)
    paper.heading(title(language), 1)
    columns = _Columns(paper)
    for section in sections(language):
        rows = [f"**{left}** {right}".replace("****", "").strip() for left, right in section.rows]
        columns.heading(section.title, rows[0])
        for row in rows:
            columns.row(row)
    return paper


class _Columns:
    """Two columns that are filled from top to bottom, then the next page."""

    def __init__(self, paper: Paper) -> None:
        self._paper = paper
        self._top_mm = paper.get_y()
        self._wide_mm = (paper.epw - _GUTTER_MM) / 2
        self._line_mm = paper.size_pt * 0.3528 * 1.22
        self._at = 0

    def heading(self, text: str, first_row: str) -> None:
        """A heading, never parted from the first row under it."""
        needed = self._line_mm * 1.9 + self._height(first_row)
        self._room_for(needed)
        if self._paper.get_y() > self._top_mm:
            self._paper.ln(self._line_mm * 0.5)
        self._paper.set_font(style="B", size=self._paper.size_pt * 1.15)
        self._paper.start_section(self._paper.shown(text), 0)
        self._put(text, self._line_mm * 1.3)
        self._paper.set_font(style="", size=self._paper.size_pt)

    def row(self, text: str) -> None:
        """A row, never parted."""
        self._room_for(self._height(text))
        self._put(text, self._line_mm)

    def _height(self, text: str) -> float:
        height: float = self._paper.multi_cell(
            self._wide_mm,
            self._line_mm,
            self._paper.shown(text),
            align="L",
            markdown=True,
            dry_run=True,
            output="HEIGHT",
        )  # type: ignore[assignment]
        return height + self._line_mm * 0.25  # fmt: skip

    def _put(self, text: str, line_mm: float) -> None:
        paper = self._paper
        paper.set_x(self._left_mm)
        paper.multi_cell(
            self._wide_mm, line_mm, paper.shown(text), align="L", markdown=True, new_x="LEFT",
            new_y="NEXT",
        )  # fmt: skip
        paper.ln(self._line_mm * 0.25)

    @property
    def _left_mm(self) -> float:
        return self._paper.l_margin + self._at * (self._wide_mm + _GUTTER_MM)

    def _room_for(self, height_mm: float) -> None:
        if self._paper.get_y() + height_mm <= self._paper.h - _FOOT_MM:
            return
        self._at = 1 - self._at
        if self._at == 0:
            self._paper.add_page()
            self._top_mm = self._paper.t_margin
        self._paper.set_y(self._top_mm)
