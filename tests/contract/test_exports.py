"""What every export promises, tried on each; then each format by its own standard."""

import io
import re
from html import unescape

import pytest
from pypdf import PdfReader

from tests.made_up_visit import EMPTY, RECORDS, VISIT, WAITING, WHOLE, WITH_UNCONFIRMED, entry, made
from voicelog.errors import ExportError
from voicelog.exports import formats, load
from voicelog.exports.base import CAUTION, VisitRecords


def words_of(name: str, visit: VisitRecords) -> str:
    """What a person or a program reads of a file, on one line."""
    content = load(name).render(visit)
    if isinstance(content, bytes):
        content = " ".join(page.extract_text() for page in PdfReader(io.BytesIO(content)).pages)
    content = re.sub(r"<style>.*?</style>", "", content, flags=re.DOTALL)
    return " ".join(unescape(content).split())


def test_the_folder_is_the_list_of_formats() -> None:
    assert formats() == (
        *("csv", "fhir", "home_sheet_html", "home_sheet_pdf", "html", "json", "jsonl", "markdown"),
        "pdf",
    )


def test_an_unknown_format_names_the_known_ones() -> None:
    for name in ("word", "base", "files", "fhir_parts", "note_findings", "../csv", ""):
        with pytest.raises(ExportError) as caught:
            load(name)
        assert "csv, fhir, home_sheet_html" in caught.value.do


@pytest.mark.parametrize("name", formats())
def test_the_same_visit_gives_the_same_text(name: str) -> None:
    export = load(name)
    assert re.fullmatch(r"\.[a-z]+", export.SUFFIX)
    for visit in (WHOLE, WITH_UNCONFIRMED, EMPTY):
        first = export.render(visit)
        assert export.render(visit) == first
        assert isinstance(first, bytes) or first.endswith("\n")


@pytest.mark.parametrize("name", formats())
def test_what_was_not_confirmed_is_there_only_when_asked_for_and_then_marked(name: str) -> None:
    without, asked = (words_of(name, visit) for visit in (WHOLE, WITH_UNCONFIRMED))
    assert not re.search(r"unconfirmed\W{1,4}[^\W\]]|not confirmed|preliminary", without)
    assert "hip" not in without
    if name.startswith("home_sheet"):
        assert asked == without, "a client is never sent home with what was not confirmed"
        return
    assert "hip" in asked
    assert re.search(r"unconfirmed|not confirmed", asked)


def test_an_entry_in_the_wrong_place_cannot_be_exported_at_all() -> None:
    waiting = entry(WAITING, 10, "not")
    with pytest.raises(ValueError, match="e10 is no confirmed entry"):
        made(VISIT, (*RECORDS, waiting))
    with pytest.raises(ValueError, match="e1 is no unconfirmed entry"):
        made(VISIT, (), RECORDS)
    elsewhere = RECORDS[0].model_copy(update={"visit_id": "2026-03-02-2"})
    with pytest.raises(ValueError, match="of this visit"):
        made(VISIT, (elsewhere,))


@pytest.mark.parametrize("name", ["markdown", "html", "pdf", "json", "jsonl"])
def test_what_people_read_carries_the_caution(name: str) -> None:
    assert CAUTION in words_of(name, WITH_UNCONFIRMED)


@pytest.mark.parametrize("name", formats())
def test_no_format_promises_anything(name: str) -> None:
    assert not re.search(r"\b(safe|cleared|cured)\b", words_of(name, WITH_UNCONFIRMED))
