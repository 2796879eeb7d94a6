"""The PDF files, read back by an independent library (pypdf)."""

import io
from dataclasses import replace
from typing import Any

import pytest
from markdown_it import MarkdownIt
from markdown_it.tree import SyntaxTreeNode
from pypdf import PageObject, PdfReader

from voicelog.exports import SHOWS_ALL, lacking, load
from voicelog.exports.base import VisitRecords
from voicelog.exports.home_sheet_pdf import SIZES_PT
from voicelog.exports.paper import Paper
from voicelog.handover import Wish
from voicelog.records.content import Cue, Drill, Note

Filled = tuple[Any, Any]


@pytest.fixture
def everything(filled: Filled) -> VisitRecords:
    practice, visit = filled
    found: VisitRecords = practice.hand_over(visit, Wish(unconfirmed=True))
    return found


def read(name: str, visit: VisitRecords) -> PdfReader:
    content = load(name).render(visit)
    assert isinstance(content, bytes)
    return PdfReader(io.BytesIO(content))


def text_of(reader: PdfReader) -> str:
    return " ".join(" ".join(page.extract_text() for page in reader.pages).split())


def tight(text: str) -> str:
    """Without blanks and hyphens, since lines break where the page ends."""
    return "".join(text.split())


def sizes(page: PageObject) -> set[float]:
    """The sizes of all text on a page, in points."""
    found: set[float] = set()

    def visit(text: str, _cm: object, _tm: object, _font: object, size: float) -> None:
        if text.strip():
            found.add(round(size, 1))

    page.extract_text(visitor_text=visit)
    return found


def test_the_paper_says_everything_the_markdown_note_says(everything: VisitRecords) -> None:
    markdown = load("markdown").render(everything)
    assert isinstance(markdown, str)
    blocks = SyntaxTreeNode(MarkdownIt("commonmark").enable("table").parse(markdown)).walk()
    said = [n.content for n in blocks if n.type == "text" and n.content.strip()]
    paper = tight(text_of(read("pdf", everything)))
    assert len(said) > 60
    assert [words for words in said if tight(words) not in paper] == []


def test_the_paper_is_a4_numbered_dated_and_has_an_outline(everything: VisitRecords) -> None:
    reader = read("pdf", everything)
    for number, page in enumerate(reader.pages, start=1):
        assert (round(page.mediabox.width), round(page.mediabox.height)) == (595, 842)
        assert f"{number} of {len(reader.pages)}" in page.extract_text()
    assert reader.metadata is not None
    assert reader.metadata.title == "Visit of C-014, 2026-03-02"
    assert reader.metadata.creation_date == everything.visit.started_at
    assert str(reader.root_object["/Lang"]) == "en"
    top = [entry.title for entry in reader.outline[1] if not isinstance(entry, list)]
    assert top[:3] == ["Safety screen", "Subjective", "Objective"]


def test_pictures_over_the_visits_stand_inside_with_their_words(everything: VisitRecords) -> None:
    text = text_of(read("pdf", everything))
    for words in ("pain over 2 visits", "range over 2 visits", "2026-02-23", "Band: within"):
        assert words in text
    assert text.index("Affirmed") < text.index("pain over 2 visits") < text.rindex("in doubt")
    assert "over 2 visits" not in text_of(read("pdf", replace(everything, plots=())))


def test_a_sign_that_the_print_lacks_is_shown_as_lacking(everything: VisitRecords) -> None:
    odd = everything.records[0].model_copy(update={"content": Note(text="ok 你 Grüße ≥ 5")})
    visit = replace(everything, records=(odd,), unconfirmed=(), findings=None, plots=())
    text = text_of(read("pdf", visit))
    assert "ok ☐ Grüße ≥ 5" in text
    assert "☐ stands for a sign that this print lacks" in text
    assert "the HTML page shows it" in text
    assert "☐" not in text_of(read("pdf", replace(visit, records=())))


@pytest.mark.parametrize("name", ["pdf", "home_sheet_pdf"])
def test_the_signs_that_a_print_lacks_can_be_told_and_another_format_shows_them(
    everything: VisitRecords, name: str
) -> None:
    assert lacking(name, everything) == ""
    content = Note(text="벽 벽 ok 你") if name == "pdf" else Drill(name="벽 벽 ok 你")
    odd = everything.records[0].model_copy(update={"content": content})
    visit = replace(everything, records=(odd,), unconfirmed=(), findings=None, plots=())
    assert "☐ ☐ ok ☐" in text_of(read(name, visit))
    assert lacking(name, visit) == "벽你"
    assert "벽 벽 ok 你" in str(load(SHOWS_ALL[name]).render(visit))
    assert lacking("markdown", visit) == ""


def test_no_word_of_a_table_is_broken(everything: VisitRecords) -> None:
    """Where remarks are long, too: "compression", "Quality" and "No." once broke in two."""
    first = everything.records[0]
    slots = {"phase": "compression", "range_deg": 15, "position": "half kneeling"}
    trial = first.content.model_copy(update={**slots, "quality": ("pinching", "dull")})
    visit = replace(everything, records=(first.model_copy(update={"content": trial}),))
    said = text_of(read("pdf", visit)).split()
    said = said[said.index("Objective") : said.index("Each")]
    columns = " ".join(everything.language.texts.note.columns).split()
    assert {*columns, "compression", "dorsiflexion", "inclinometer", "pinching,"} <= set(said)


@pytest.mark.parametrize("used_mm", range(220, 285, 4))
def test_no_heading_is_left_alone_at_the_foot_of_a_page(
    everything: VisitRecords, used_mm: int
) -> None:
    paper = Paper("Note", everything.visit.started_at, 10, everything.language)
    paper.set_y(used_mm)
    paper.heading("Assessment", 2)
    page = paper.page_no()
    paper.heading("Which way it eased", 3)
    paper.words((("Gap eased it.", False),), bullet=True)
    assert paper.page_no() == page
    paper.let_go()


def given(everything: VisitRecords, drills: int, cues: int) -> VisitRecords:
    contents = [
        *(
            Drill(name=f"drill number {n}", sets=3, reps=8, hold_s=5, band="light", effort=4)
            for n in range(drills)
        ),
        *(Cue(name=f"cue number {n}") for n in range(cues)),
    ]
    first = everything.records[0]
    records = tuple(
        first.model_copy(update={"entry_id": f"{n}", "content": content})
        for n, content in enumerate(contents)
    )
    return replace(everything, records=records, unconfirmed=(), findings=None, plots=())


@pytest.mark.parametrize(("drills", "cues"), [(0, 0), (1, 1), (3, 2), (5, 3)])
def test_the_home_sheet_is_one_page_in_large_print(
    everything: VisitRecords, drills: int, cues: int
) -> None:
    reader = read("home_sheet_pdf", given(everything, drills, cues))
    (page,) = reader.pages
    text = text_of(reader)
    assert all(f"Drill number {n}" in text for n in range(drills))
    assert all(f"Cue number {n}" in text for n in range(cues))
    assert ("No drills were recorded" in text) == (drills == 0)
    assert ("How often:" in text) == (drills > 0), "a line to write on, as it is not dictated"
    body = sizes(page) - {8.5}  # the number of the page
    assert min(body) >= min(SIZES_PT) >= 14
    assert "C-014" not in text


def test_a_very_long_home_sheet_loses_nothing(everything: VisitRecords) -> None:
    reader = read("home_sheet_pdf", given(everything, 20, 10))
    assert len(reader.pages) > 1
    text = text_of(reader)
    assert all(f"Drill number {n}" in text for n in range(20))
    assert all(f"Cue number {n}" in text for n in range(10))
    assert "call your local emergency number at once" in text
