"""The cheat sheet to print: all that can be said is on it, and it can be read at arm's length.

The PDF is read back by pypdf, the page by html5lib (the parser of the HTML standard).
"""

from datetime import UTC, datetime
from io import BytesIO
from pathlib import Path

import html5lib
import pytest
from pypdf import PdfReader
from typer.testing import CliRunner

from voicelog.cheat_sheet import html, pdf
from voicelog.cheat_sheet.sections import sections
from voicelog.cli.app import app
from voicelog.data_files.languages import language_folder, load_language
from voicelog.errors import ExportError
from voicelog.grammar.language import LanguageData

AT = datetime(2026, 3, 2, tzinfo=UTC)
LEAST_PT = 12


@pytest.fixture(scope="module")
def english() -> LanguageData:
    return load_language(language_folder())


def words_of(language: LanguageData) -> set[str]:
    """Everything that may be said, as its files have it."""
    slots = language.slots.model_dump().values()
    named = [*slots, language.motions, language.commands, language.drills, language.faults]
    forms = [form for names in [*named, language.cues] for said in names.values() for form in said]
    joints = [form for joint in language.joints.values() for form in joint.spoken]
    return {*forms, *joints, *(example.says for example in language.examples)}


def flat(text: str) -> str:
    return " ".join(text.split())


def pdf_text(content: bytes) -> tuple[str, int, set[float]]:
    """Its words, its pages, and the sizes of its print in points."""
    sizes: set[float] = set()

    def visit(text: str, _cm: object, tm: list[float], _font: object, size: float) -> None:
        if text.strip():
            sizes.add(round(size * abs(tm[3] or 1), 1))

    reader = PdfReader(BytesIO(content))
    for page in reader.pages:
        page.extract_text(visitor_text=visit)
    return flat(" ".join(page.extract_text() for page in reader.pages)), len(reader.pages), sizes


def test_the_page_holds_every_word_of_the_language(english: LanguageData) -> None:
    tree = html5lib.parse(html.render(english), namespaceHTMLElements=False)
    text = flat("".join(tree.itertext()))
    assert [form for form in sorted(words_of(english)) if form not in text] == []
    assert tree.get("lang") == english.code


def test_the_pdf_holds_every_word_of_the_language_on_two_pages(english: LanguageData) -> None:
    text, pages, _ = pdf_text(pdf.render(english, AT))
    assert [form for form in sorted(words_of(english)) if form not in text] == []
    assert pages <= pdf.MOST_PAGES


def test_it_can_be_read_at_arms_length(english: LanguageData) -> None:
    """Only the number of the page is smaller."""
    _, _, sizes = pdf_text(pdf.render(english, AT))
    assert [size for size in sizes if size < LEAST_PT] == [8.5]


def test_a_sheet_that_is_too_full_loses_nothing(english: LanguageData) -> None:
    drills = {f"made up drill number {n}": [f"made up drill number {n}"] for n in range(300)}
    full = english.model_copy(update={"drills": drills})
    text, pages, _ = pdf_text(pdf.render(full, AT))
    assert pages > pdf.MOST_PAGES
    assert [name for name in drills if name not in text] == []


def test_every_command_says_what_it_does(english: LanguageData) -> None:
    assert set(english.meanings) == set(english.commands)
    (commands,) = (s for s in sections(english) if s.title == english.headings["commands"])
    assert all(what for _, what in commands.rows)


def test_the_same_words_give_the_same_file(english: LanguageData) -> None:
    assert pdf.render(english, AT) == pdf.render(english, AT)


@pytest.mark.parametrize(("form", "begins"), [("html", b"<!DOCTYPE html>"), ("pdf", b"%PDF-")])
def test_the_command_writes_it_to_a_file(form: str, begins: bytes, tmp_path: Path) -> None:
    path = tmp_path / f"sheet.{form}"
    done = CliRunner().invoke(app, ["phrases", "--form", form, "-o", str(path)])
    assert done.exit_code == 0, done.output
    assert path.read_bytes().startswith(begins)


def test_the_joints_of_the_settings_are_those_on_the_sheet(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setenv("VOICELOG_JOINTS", '["ankle"]')
    done = CliRunner().invoke(app, ["phrases"])
    assert "ankle" in done.output
    assert "shoulder blade / scapula" not in done.output


def test_a_language_that_the_font_cannot_show_is_refused_and_printed_from_the_page() -> None:
    korean = load_language(language_folder("ko"))
    with pytest.raises(ExportError, match="lacks signs of this language") as told:
        pdf.render(korean, AT)
    assert "html" in told.value.do
    assert all(form in html.render(korean) for form in korean.commands["affirm"])
