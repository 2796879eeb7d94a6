"""The client's home sheet as a PDF: large print on one page of A4.

Where much was given, the print gets smaller, but never smaller than large print may be; what then
does not fit goes on a second page, as nothing may be lost.
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
    paper = Paper(words.TITLE, visit.visit.started_at, size_pt, margin_mm=14)
    paper.heading(words.TITLE, 1)
    paper.words(((words.day(visit), False),))
    paper.words(((words.KEEP, True),))
    _drills(paper, visit)
    _listed(paper, "Remember", words.cues(visit))
    _listed(paper, words.STOP_HEADING, words.STOP)
    paper.words(((words.EMERGENCY, True),))
    paper.heading("Call", 2)
    paper.write_line("Practice:", visit.practice.name)
    paper.write_line("Phone:", visit.practice.phone)
    paper.words(((words.REMINDER, False),))
    return paper


def _drills(paper: Paper, visit: VisitRecords) -> None:
    paper.heading("Do", 2)
    drills = words.drills(visit)
    if not drills:
        paper.words(((words.NO_DRILLS, False),))
    for drill in drills:
        paper.heading(drill.name, 3)
        if drill.dose:
            paper.words(((" ".join(drill.dose), False),))
        else:
            paper.write_line(words.NO_DOSE, "")


def _listed(paper: Paper, heading: str, items: tuple[str, ...]) -> None:
    if items:
        paper.heading(heading, 2)
    for item in items:
        paper.words(((item, False),), bullet=True)
