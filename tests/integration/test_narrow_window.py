"""What is set for reading stays whole in a narrow window: no word is cut off or broken."""

import re
from datetime import UTC, datetime
from io import StringIO

import pytest
from rich.console import Console
from rich.table import Table
from rich.text import Text
from typer.testing import CliRunner

from voicelog.cli.app import app
from voicelog.cli.options import bullets
from voicelog.cli.review_view import listed
from voicelog.cli.tables import show_table
from voicelog.cli.terminal import say
from voicelog.corrections.look import Look
from voicelog.grammar.language import LanguageData
from voicelog.records.content import Note
from voicelog.records.entry import Entry

ROWS = (
    ("2026-03-02-1", "C-014", "2026-03-02 10:00", "4", Text("1", "red")),
    ("2026-03-04-12", "C-0147", "2026-03-04 11:30", "12", Text()),
)


def shown(width: int) -> str:
    table = Table("Visit", "Client", "Began", "Records", "Not affirmed", title="Visits", box=None)
    for row in ROWS:
        table.add_row(*row)
    console = Console(file=StringIO(), width=width)
    show_table(console, table)
    assert isinstance(console.file, StringIO)
    return console.file.getvalue()


@pytest.mark.parametrize("width", [30, 40, 49, 50, 60, 80])
def test_every_cell_is_whole_at_every_width(width: int) -> None:
    told = shown(width)
    assert max(map(len, told.splitlines())) <= width
    assert "…" not in told
    words = [word for row in ROWS for cell in row for word in str(cell).split()]
    assert [word for word in words if word not in re.split(r"[\s;]+", told)] == []
    assert "Visits" in told


def test_it_is_a_table_where_there_is_room_and_a_list_with_its_headings_where_there_is_none() -> (
    None
):
    assert shown(80).count("Visit ") == 1
    assert shown(40).count("Visit: ") == len(ROWS)
    assert shown(40).count("Not affirmed: ") == 1


FOLDER = f"/home/clinic/{'models/' * 15}vosk-model-small-en-us"


def unbroken(told: str) -> str:
    return "".join(told.split())


@pytest.mark.parametrize("width", [30, 80, 110])
def test_a_word_longer_than_a_line_goes_on_in_the_next(width: int) -> None:
    table = Table("Model", "Folder", box=None)
    table.add_row("small", FOLDER)
    console = Console(file=StringIO(), width=width)
    show_table(console, table)
    bullets(console, "Found", [f"{FOLDER} and more"])
    assert isinstance(console.file, StringIO)
    told = console.file.getvalue()
    assert max(map(len, told.splitlines())) <= width
    assert unbroken(told).count(FOLDER) == 2


@pytest.mark.parametrize("width", [30, 80])
def test_a_long_word_of_a_record_is_whole_where_entries_are_listed(
    language: LanguageData, width: int
) -> None:
    at = datetime(2026, 3, 2, 9, 0, tzinfo=UTC)
    note = Entry(
        entry_id="e1", visit_id="v1", client="C-014", status="unconfirmed",
        content=Note(text=FOLDER), spoken_at=at, at=at, by="AB",
    )  # fmt: skip
    console = Console(file=StringIO(), width=width)
    listed(console, [Look((note,), note, None, (), ())], language)
    assert isinstance(console.file, StringIO)
    assert FOLDER in unbroken(console.file.getvalue())


@pytest.mark.parametrize("width", [40, 80])
def test_the_changes_break_between_words(monkeypatch: pytest.MonkeyPatch, width: int) -> None:
    whole = CliRunner().invoke(app, ["changes"]).output
    for name, value in (("COLUMNS", str(width)), ("FORCE_COLOR", "1")):
        monkeypatch.setenv(name, value)
    told = re.sub(r"\x1b\[[\d;]*m", "", CliRunner().invoke(app, ["changes"]).output)
    assert max(map(len, told.splitlines())) <= width
    assert set(told.split()) - {"•"} <= set(whole.replace("`", "").split())


LONG = "The records file /home/clinic/voicelog/records.sqlite [old] cannot grow: the disk is full."


def test_an_error_breaks_between_words_on_a_screen_and_is_one_line_in_a_file(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    told = []
    for wide, forced in (("50", "1"), ("50", "")):
        for name, value in (("COLUMNS", wide), ("FORCE_COLOR", forced)):
            monkeypatch.setenv(name, value)
        stream = StringIO()
        monkeypatch.setattr("sys.stderr", stream)
        say(LONG)
        told.append(stream.getvalue())
    on_screen, in_file = told
    assert on_screen.count("\n") > 1
    assert on_screen.split() == LONG.split()
    assert in_file == f"{LONG}\n"
