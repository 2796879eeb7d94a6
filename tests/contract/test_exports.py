"""What every export promises, tried on each; then each format by its own standard."""

import csv
import errno
import io
import json
import os
import re
import shutil
import stat
import subprocess
from collections.abc import Iterator
from datetime import datetime, timedelta, timezone
from functools import partial
from html import unescape
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from markdown_it import MarkdownIt
from markdown_it.tree import SyntaxTreeNode
from pypdf import PdfReader

from voicelog.errors import ExportError
from voicelog.exports import formats, load
from voicelog.exports.base import CAUTION, VisitRecords
from voicelog.exports.files import write_file
from voicelog.grammar_files import language_folder, load_language
from voicelog.records.content import AnyContent, Cue, Drill, Fault, Note, Trial
from voicelog.records.entry import Affirmation, Entry, Evidence
from voicelog.records.visit import Visit

made = partial(VisitRecords, language=load_language(language_folder()))
NINE = datetime(2026, 3, 2, 9, 0, tzinfo=timezone(timedelta(hours=1)))
VISIT = Visit(
    visit_id="2026-03-02-1",
    client="C-014",
    started_at=NINE,
    ended_at=NINE + timedelta(minutes=42),
)
BASELINE = Trial(
    side="left",
    joint="ankle",
    motion="dorsiflexion",
    phase="baseline",
    range_deg=15,
    onset_deg=12,
    pain=6,
    quality=("sharp", "pinching"),
    end_feel="firm",
    manner="weight bearing",
    position="half kneeling",
    instrument="inclinometer",
)
GAP = BASELINE.model_copy(
    update={"phase": "gap", "range_deg": 0, "onset_deg": None, "pain": 0, "quality": ()}
)
SPINE = Trial(joint="neck", motion="rotation", phase="retest", outcome="pain free rep")
DRILL = Drill(
    name="banded heel glide", side="left", sets=3, reps=8, hold_s=5, band="light", effort=4
)
WAITING = Trial(side="right", joint="hip", motion="flexion", phase="gap", pain=9)


def entry(content: AnyContent, number: int, how: str = "voice", by: str = "AB") -> Entry:
    first = Entry(
        entry_id=f"e{number}",
        visit_id=VISIT.visit_id,
        client=VISIT.client,
        status="unconfirmed",
        content=content,
        spoken_at=NINE + timedelta(minutes=number),
        at=NINE + timedelta(minutes=number),
        by=by,
        evidence=(
            Evidence(
                text=f"words {number}",
                confidence=0.75,
                engine="an engine",
                model="a model",
                grammar_version="1",
            ),
        ),
    )
    if how == "not":
        return first
    yes = Affirmation.model_validate({"read_back": f"read back {number}", "by": how})
    return first.confirm(yes, NINE + timedelta(minutes=number, seconds=5))


RECORDS = (
    entry(BASELINE, 1),
    entry(GAP, 2, "key"),
    entry(SPINE, 3),
    entry(DRILL, 4),
    entry(Drill(name="wall slide", sets=1), 5, "desk", "CD"),
    entry(Fault(name="heel lifting"), 6),
    entry(Cue(name="press the heel down"), 7),
    entry(Note(text="guarded at first"), 8),
    entry(Note(text="slept badly", checked=True), 9),
)
WHOLE = made(VISIT, RECORDS)
WITH_UNCONFIRMED = made(VISIT, RECORDS, (entry(WAITING, 10, "not"),))
EMPTY = made(VISIT.model_copy(update={"ended_at": None}), ())


def one(content: AnyContent) -> VisitRecords:
    return made(VISIT, (entry(content, 1),))


def text_of(name: str, visit: VisitRecords) -> str:
    """A format that is text."""
    content = load(name).render(visit)
    assert isinstance(content, str)
    return content


def words_of(name: str, visit: VisitRecords) -> str:
    """What a person or a program reads of a file, on one line."""
    content = load(name).render(visit)
    if isinstance(content, bytes):
        content = " ".join(page.extract_text() for page in PdfReader(io.BytesIO(content)).pages)
    content = re.sub(r"<style>.*?</style>", "", content, flags=re.DOTALL)
    return " ".join(unescape(content).split())


# --- every format


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


# --- Markdown, read by an independent CommonMark parser (markdown-it-py; tables as in GitHub
# Flavored Markdown, section 4.10)


def parsed(text: str) -> SyntaxTreeNode:
    return SyntaxTreeNode(MarkdownIt("commonmark").enable("table").parse(text))


def words(node: SyntaxTreeNode) -> str:
    """What a reader sees of a node."""
    return "".join(
        "\n" if n.type == "softbreak" else n.content
        for n in node.walk()
        if n.type in ("text", "text_special", "code_inline", "softbreak", "html_inline")
    )


def rows(text: str) -> list[list[str]]:
    (table,) = (n for n in parsed(text).walk() if n.type == "table")
    return [[words(cell) for cell in row.children] for row in table.walk() if row.type == "tr"]


def items(text: str, heading: str) -> list[str]:
    blocks = parsed(text).children
    (at,) = (n for n, b in enumerate(blocks) if b.type == "heading" and words(b) == heading)
    return [words(item) for item in blocks[at + 1].children]


def test_the_note_has_one_row_for_each_trial() -> None:
    assert rows(text_of("markdown", WITH_UNCONFIRMED)) == [
        ["No.", "Movement", "Phase", "Range", "Pain 0-10", "Quality", "End feel", "Remarks"],
        [
            *("1", "left ankle dorsiflexion", "baseline", "pain starts at 12°, end of range 15°"),
            *("6", "sharp, pinching", "firm"),
            "weight bearing, half kneeling, measured with inclinometer",
        ],
        [
            *("2", "left ankle dorsiflexion", "gap", "0°", "0", "", "firm"),
            "weight bearing, half kneeling, measured with inclinometer",
        ],
        ["3", "neck rotation", "retest", "", "", "", "", "pain free rep"],
    ]


def test_the_note_lists_everything_else_in_the_order_of_the_trade() -> None:
    text = text_of("markdown", WITH_UNCONFIRMED)
    headings = [words(b) for b in parsed(text).children if b.type == "heading"]
    assert headings == [
        *("Visit of C-014, 2026-03-02", "Subjective", "Objective", "Faults seen"),
        *("Plan", "Drills", "Cues", "Affirmed", "Not confirmed, no part of the record"),
    ]
    assert "Visit 2026-03-02-1, 09:00 to 09:42 (UTC+01:00)" in text
    assert items(text, "Drills") == [
        "banded heel glide, left: 3 sets of 8, hold 5 s, light band, effort 4/10",
        "wall slide: 1 set",
    ]
    assert items(text, "Faults seen") == ["heel lifting"]
    assert items(text, "Cues") == ["press the heel down"]
    assert items(text, "Subjective") == [
        "guarded at first (not checked against its sound)",
        "slept badly",
    ]
    assert items(text, "Affirmed") == ["AB: 7 by voice", "AB: 1 by key", "CD: 1 at the desk"]
    assert items(text, "Not confirmed, no part of the record") == [
        "not confirmed: right hip flexion, gap, pain 9/10"
    ]


def test_a_change_that_waits_is_told_from_the_record_it_would_change() -> None:
    confirmed = entry(BASELINE, 1)
    change = confirmed.propose(GAP, confirmed.evidence[0], NINE, confirmed.version)
    text = text_of("markdown", made(VISIT, (confirmed,), (change,)))
    (item,) = items(text, "Not confirmed, no part of the record")
    assert item.startswith("not confirmed (a change to a record above): left ankle")


@pytest.mark.parametrize("name", ["markdown", "html", "pdf", "json", "jsonl"])
def test_what_people_read_carries_the_caution(name: str) -> None:
    assert CAUTION in words_of(name, WITH_UNCONFIRMED)


@pytest.mark.parametrize("name", formats())
def test_no_format_promises_anything(name: str) -> None:
    assert not re.search(r"\b(safe|cleared|cured)\b", words_of(name, WITH_UNCONFIRMED))


def test_a_visit_with_nothing_in_it_says_so() -> None:
    text = text_of("markdown", EMPTY)
    assert "No trials recorded." in text
    assert "not ended" in text
    assert "| " not in text


NASTY = st.one_of(
    st.text(max_size=25),
    st.text(alphabet="|\\`*_[]()<>#+-=.!~&;1a \n\t", min_size=1, max_size=25),
    st.sampled_from(
        [
            *("- - a", "+", "*", "-1", "1. a", "12) a", "1\\. a", "# a", "> a", "===", "---"),
            *("a|b\\", "\\|", "<b>x</b>", "&amp;", "[a](b)", "![a](b)", "http://a.b"),
            *("<http://a.b>", "``` a", "~~~", "    code", "a  \nb"),
        ]
    ),
)


def as_seen(text: str) -> str:
    """One line, blanks collapsed: what a person would read off any rendering."""
    return " ".join("".join(c if c.isprintable() else " " for c in text).split())


@given(NASTY)
def test_no_word_in_a_table_can_act_as_markup(text: str) -> None:
    (_, row) = rows(text_of("markdown", one(Trial(joint=text, end_feel=text, phase="gap"))))
    assert row == ["1", as_seen(text), "gap", "", "", "", as_seen(text), ""]


@given(NASTY)
def test_no_word_in_a_list_can_act_as_markup(text: str) -> None:
    note = text_of("markdown", one(Note(text=text, checked=True)))
    assert items(note, "Subjective") == [as_seen(text)]
    assert not [n for n in parsed(note).walk() if n.type in ("html_block", "html_inline", "link")]


# --- JSON (RFC 8259; times as in ISO 8601 and RFC 3339, with their offset)


def test_the_object_holds_every_record_as_it_was_kept() -> None:
    found = json.loads(text_of("json", WITH_UNCONFIRMED))
    assert list(found) == [
        *("schema_version", "caution", "visit", "records", "unconfirmed", "findings"),
    ]
    assert found["findings"] is None
    assert found["schema_version"] == 1
    assert Visit.model_validate_json(json.dumps(found["visit"])) == VISIT
    kept = [Entry.model_validate_json(json.dumps(record)) for record in found["records"]]
    assert tuple(kept) == RECORDS
    assert [r["entry_id"] for r in found["unconfirmed"]] == ["e10"]


def test_times_are_iso_8601_with_their_offset() -> None:
    found = json.loads(text_of("json", WHOLE))
    assert found["visit"]["started_at"] == "2026-03-02T09:00:00+01:00"
    for record in found["records"]:
        for name in ("spoken_at", "at"):
            assert datetime.fromisoformat(record[name]).utcoffset() == timedelta(hours=1)


# --- CSV (RFC 4180), read back by the standard library


def table(text: str) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(text, newline=""), strict=True))


def test_the_table_has_one_row_for_each_record_and_units_in_its_header() -> None:
    text = text_of("csv", WITH_UNCONFIRMED)
    found = table(text)
    assert [row["entry_id"] for row in found] == [f"e{n}" for n in range(1, 11)]
    assert [row["status"] for row in found] == ["confirmed"] * 9 + ["unconfirmed"]
    assert {"range_deg", "hold_s", "pain"} <= set(found[0])
    first, drill, note = found[0], found[3], found[8]
    assert (first["range_deg"], first["onset_deg"], first["pain"]) == ("15", "12", "6")
    assert first["quality"] == "sharp; pinching"
    assert first["spoken_at"] == "2026-03-02T09:01:00+01:00"
    assert first["heard"] == "words 1"
    assert (drill["name"], drill["hold_s"], drill["pain"]) == ("banded heel glide", "5", "")
    assert (note["text"], note["checked"]) == ("slept badly", "true")
    assert found[4]["affirmed_by"] == "desk"
    assert found[9]["affirmed_by"] == ""


def test_lines_end_and_quotes_double_as_rfc_4180_says() -> None:
    text = text_of("csv", one(Note(text='she said "ow", then\nlaughed')))
    assert '"she said ""ow"", then\nlaughed"' in text
    header, rest = text.split("\r\n", 1)
    assert header.startswith("status,visit_id,client,entry_id")
    assert rest.endswith("\r\n")
    assert table(text_of("csv", EMPTY)) == []


# The signs: OWASP, "CSV Injection", and OWASP ASVS 5.0, requirement 1.2.10.
@pytest.mark.parametrize("sign", ["=", "+", "-", "@", "\t", "\r", "\n", "\0", "  =", "＝"])
def test_no_cell_can_start_a_formula(sign: str) -> None:
    nasty = f"{sign}cmd|' /C calc'!A1"
    for content in (Note(text=nasty), Drill(name=nasty), Trial(quality=(nasty, "sharp"))):
        text = text_of("csv", made(VISIT, (entry(content, 1, by=nasty),)))
        (row,) = table(text)
        cells = [cell for cell in row.values() if "calc" in cell]
        assert len(cells) == 2
        assert all(cell.startswith(f"'{nasty}") for cell in cells)


@given(st.text(max_size=30))
def test_any_text_comes_back_from_its_cell(text: str) -> None:
    (row,) = table(text_of("csv", one(Note(text=text))))
    assert row["text"] in (text, f"'{text}")
    assert not row["text"].lstrip().startswith(("=", "+", "-", "@"))


# --- writing to disk


def test_a_file_is_written_byte_for_byte_and_closed_to_others(tmp_path: Path) -> None:
    path = tmp_path / "note.csv"
    path.write_text("an older one")
    write_file(path, "range_deg\r\n12°\r\n")
    assert path.read_bytes() == b"range_deg\r\n12\xc2\xb0\r\n"
    assert [file.name for file in tmp_path.iterdir()] == ["note.csv"]
    if os.name == "posix":
        assert stat.S_IMODE(path.stat().st_mode) == 0o600


@pytest.mark.parametrize("place", ["nowhere/note.md", "file/note.md", "."])
def test_a_place_that_cannot_hold_a_file_is_named(tmp_path: Path, place: str) -> None:
    (tmp_path / "file").write_text("x")
    with pytest.raises(ExportError, match="could not be written") as caught:
        write_file(tmp_path / place, "text")
    assert "\n" not in str(caught.value)
    assert "still in the store" in caught.value.kept
    assert [file.name for file in tmp_path.iterdir()] == ["file"]


def test_a_disk_that_fills_up_leaves_the_old_file_and_no_half_one(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "note.md"
    write_file(path, "old")

    def full(_: int) -> None:
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(ExportError, match="the disk is full"):
        write_file(path, "new")
    assert path.read_text() == "old"
    assert [file.name for file in tmp_path.iterdir()] == ["note.md"]


@pytest.fixture
def small_disk(tmp_path: Path) -> Iterator[Path]:
    """A file system of its own with 64 KiB of room."""
    place = tmp_path / "disk"
    place.mkdir()
    mount = shutil.which("mount")
    command = [str(mount), "-t", "tmpfs", "-o", "size=64k", "tmpfs", str(place)]
    if not mount or subprocess.run(command, check=False, capture_output=True).returncode:
        pytest.skip("mounting a small file system needs Linux and its root")
    yield place
    subprocess.run(["umount", str(place)], check=True)


def test_a_disk_that_is_really_full_leaves_the_old_file_and_no_half_one(small_disk: Path) -> None:
    path = small_disk / "note.md"
    write_file(path, "old")
    with pytest.raises(ExportError, match="the disk is full"):
        write_file(path, "x" * 100_000)
    assert path.read_text() == "old"
    assert [file.name for file in small_disk.iterdir()] == ["note.md"]
