"""The client's home sheet as a PDF: large print on one page of A4.

Where much was given, the print gets smaller, but never smaller than large print may be; what then
does not fit goes on a second page, as nothing may be lost. Raises ExportError where
the font cannot show the language.
"""

from voicelog.exports import home_words as words
from voicelog.exports.base import VisitRecords
from voicelog.exports.paper import Paper

SUFFIX = ".pdf"

SIZES_PT = (17.0, 16.0, 15.0, 14.0)
"""14 points and up is what makers of print for people with weak sight call large (common
practice, no source)."""


def render(visit: VisitRecords) -> bytes:
    """The file. It carries no client code, so that it may lie on a kitchen table."""
    *larger, smallest = SIZES_PT
    for size_pt in larger:
        paper = _written(visit, size_pt)
        if paper.page_no() == 1:
            return paper.finished()
        paper.let_go()
    return _written(visit, smallest).finished()


def _written(visit: VisitRecords, size_pt: float) -> Paper:
    text = visit.language.texts.home
    paper = Paper(text.title, visit.visit.started_at, size_pt, visit.language, margin_mm=14)
    paper.refuse_unreadable((text.title, text.keep, *text.stop, text.emergency), "home_sheet_html")
    paper.heading(text.title, 1)
    paper.words(((words.day(visit), False),))
    paper.words(((text.keep, True),))
    _drills(paper, visit)
    _listed(paper, text.remember, words.cues(visit))
    _listed(paper, text.stop_heading, tuple(text.stop))
    paper.words(((text.emergency, True),))
    paper.heading(text.call, 2)
    paper.write_line(text.practice, visit.practice.name)
    paper.write_line(text.phone, visit.practice.phone)
    paper.words(((text.reminder, False),))
    return paper


def _drills(paper: Paper, visit: VisitRecords) -> None:
    text = visit.language.texts.home
    paper.heading(text.do, 2)
    drills = words.drills(visit)
    if not drills:
        paper.words(((text.no_drills, False),))
    for drill in drills:
        paper.heading(drill.name, 3)
        if drill.dose:
            paper.words(((" ".join(drill.dose), False),))
        else:
            paper.write_line(text.no_dose, "")
    if drills:
        paper.write_line(text.how_often, "")


def _listed(paper: Paper, heading: str, items: tuple[str, ...]) -> None:
    if items:
        paper.heading(heading, 2)
    for item in items:
        paper.words(((item, False),), bullet=True)
