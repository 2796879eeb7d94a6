"""Handing over at the command line: each format to a file, the schemas, and an archive and back."""

import json
import os
import subprocess
import sys
from collections.abc import Callable
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from pypdf import PdfReader

from voicelog.cli.app import main
from voicelog.exports import formats
from voicelog.records.content import AnyContent, Drill, Note, Trial
from voicelog.records.entry import Affirmation, Entry
from voicelog.settings.fields import Settings
from voicelog.store.sqlite import SqliteStore

ROOT = Path(__file__).parents[3]


@dataclass(frozen=True)
class Done:
    """What a command left behind."""

    returncode: int
    stdout: str
    stderr: str


Run = Callable[..., Done]
NINE = datetime(2026, 3, 2, 9, 0, tzinfo=UTC)
CONTENTS: tuple[AnyContent, ...] = (
    Trial(side="left", joint="knee", motion="flexion", phase="baseline", range_deg=90, pain=4),
    Drill(name="wall slide", sets=3, reps=8),
    Note(text="C-014 slept badly"),
)


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A folder with the records of one visit."""
    store = SqliteStore(Settings(data_folder=tmp_path / "data").store_file)
    visit = store.open_visit("C-014", NINE)
    for number, content in enumerate(CONTENTS):
        entry = Entry(
            entry_id=str(number), visit_id=visit.visit_id, client=visit.client,
            status="unconfirmed", content=content, by="AB",
            spoken_at=NINE + timedelta(minutes=number), at=NINE + timedelta(minutes=number),
        )  # fmt: skip
        store.append(entry)
        store.append(entry.confirm(Affirmation(read_back="", by="key"), entry.at))
    store.close()
    return tmp_path


@pytest.fixture
def voicelog(
    folder: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> Run:
    """Run a command as `main` does, in this process."""
    monkeypatch.setenv("VOICELOG_SETTINGS", str(folder / "settings.toml"))
    monkeypatch.setenv("VOICELOG_DATA_FOLDER", str(folder / "data"))
    monkeypatch.setenv("COLUMNS", "200")

    def run(*arguments: str) -> Done:
        capsys.readouterr()
        monkeypatch.setattr(sys, "argv", ["voicelog", *arguments])
        with pytest.raises(SystemExit) as ended:
            main()
        said = capsys.readouterr()
        return Done(int(ended.value.code or 0), said.out, said.err)

    return run


def error(done: Done, code: int = 1) -> str:
    assert "Traceback" not in done.stderr, done.stderr
    assert done.returncode == code, (done.stdout, done.stderr)
    return " ".join(done.stderr.replace("│", " ").split())


@pytest.mark.parametrize("name", formats())
def test_every_format_goes_into_a_folder_under_a_name_without_a_client(
    voicelog: Run, folder: Path, name: str
) -> None:
    out = folder / "out"
    out.mkdir()
    arguments = ("export", "last", "--format", name, "-o", str(out), "--pseudonym", "P-1")
    done = voicelog(*arguments)
    assert done.returncode == 0, done.stderr
    (file,) = out.iterdir()
    assert file.name.startswith(f"2026-03-02-1-{name}.")
    content = file.read_bytes()
    assert b"C-014" not in content
    assert content.startswith(b"%PDF") == (file.suffix == ".pdf")


def test_a_schema_stands_beside_its_file(voicelog: Run, folder: Path) -> None:
    table = folder / "visit.csv"
    arguments = ("export", "last", "--format", "csv", "-o", str(table), "--schema")
    assert voicelog(*arguments).returncode == 0
    beside = json.loads((folder / "visit.schema.json").read_text(encoding="utf-8"))
    printed = json.loads(voicelog("schema", "csv").stdout)
    assert beside == printed
    header = table.read_text(encoding="utf-8").splitlines()[0].split(",")
    assert [field["name"] for field in beside["fields"]] == header


def test_where_the_schema_has_no_place_the_file_is_not_written_either(
    voicelog: Run, folder: Path
) -> None:
    table, beside = folder / "visit.csv", folder / "visit.schema.json"
    beside.write_text("mine", encoding="utf-8")
    arguments = ("export", "last", "--format", "csv", "-o", str(table), "--schema")
    assert "visit.schema.json is there already" in error(voicelog(*arguments))
    assert not table.exists()
    assert beside.read_text(encoding="utf-8") == "mine"
    assert voicelog(*arguments, "--over").returncode == 0


def test_paper_goes_through_a_pipe_whole(folder: Path) -> None:
    path = folder / "note.pdf"
    own = {"VOICELOG_DATA_FOLDER": str(folder / "data"), "HOME": str(folder)}
    command = [sys.executable, "-m", "voicelog", "export", "last", "--format", "pdf"]
    with path.open("wb") as file:
        subprocess.run(command, stdout=file, env=os.environ | own, cwd=ROOT, check=True)
    assert "Visit of C-014" in PdfReader(path).pages[0].extract_text()


def test_an_archive_goes_to_another_folder_and_the_same_note_comes_of_it(
    voicelog: Run, folder: Path
) -> None:
    file, other = folder / "all.zip", folder / "other"
    done = voicelog("archive", "--all", "-o", str(file))
    assert done.returncode == 0, done.stderr
    assert "1 visit, 6 versions of entries, 0 facts on file, no sound" in done.stderr
    done = voicelog("import", str(file), "--data", str(other))
    assert "Taken in: 1 visit, 6 versions of entries" in done.stderr
    here = voicelog("export", "last").stdout
    assert "slept badly" in here
    assert voicelog("export", "last", "--data", str(other)).stdout == here
    again = voicelog("import", str(file), "--data", str(other))
    assert "All of it was here already." in again.stderr


def test_what_is_wrong_is_said_in_one_line(voicelog: Run, folder: Path) -> None:
    letter = folder / "letter.txt"
    letter.write_text("Dear colleague", encoding="utf-8")
    for arguments, words in (
        (("import", str(letter)), "no archive of voicelog"),
        (("import", str(folder / "none.zip")), "cannot be read: no such file"),
        (("archive", "C-99", "-o", str(folder / "x.zip")), "Nothing is on record for C-99"),
        (("archive", "--all", "-o", str(folder / "no" / "x.zip")), "There is no folder"),
        (("export", "last", "-o", f"{folder / 'no'}/"), "There is no folder"),
        (("export", "last", "--pseudonym", "C-014"), "itself a client's code"),
    ):
        assert words in error(voicelog(*arguments))


@pytest.mark.parametrize(
    "command",
    [
        ("export", "last"),
        ("schema", "csv"),
        ("phrases", "--form", "html"),
        ("archive", "--all"),
        ("progress", "C-014"),
    ],
    ids=lambda each: each[0],
)
def test_a_file_that_is_there_is_replaced_only_when_that_is_asked_for(
    voicelog: Run, folder: Path, command: tuple[str, ...]
) -> None:
    drawn = folder / "drawn" / "C-014-wall-slide-dose.svg"
    drawn.parent.mkdir()
    place, file = ("-o", folder / "x.zip"), folder / "x.zip"
    if command[0] == "progress":
        place, file = ("--svg", drawn.parent), drawn
    file.write_text("Dear colleague", encoding="utf-8")
    asked = (*command, place[0], str(place[1]))
    assert "is there already. It was left as it is." in error(voicelog(*asked))
    assert file.read_text(encoding="utf-8") == "Dear colleague"
    done = voicelog(*asked, "--over")
    assert done.returncode == 0, done.stderr
    assert file.read_bytes() != b"Dear colleague"


def test_no_command_writes_over_the_records(voicelog: Run, folder: Path) -> None:
    store = folder / "data" / "records.sqlite"
    before = store.read_bytes()
    for command in (("export", "last"), ("archive", "--all"), ("phrases", "--form", "list")):
        assert "name of records" in error(voicelog(*command, "-o", str(store), "--over"))
    assert store.read_bytes() == before


def test_wrong_usage_is_told_from_what_could_not_be_done(voicelog: Run, folder: Path) -> None:
    out = str(folder / "x")
    for arguments, words in (
        (("archive", "-o", out), "or --all"),
        (("archive", "C-014", "--all", "-o", out), "or --all"),
        (("archive", "../C-014", "-o", out), "short code"),
        (("export", "last", "--pseudonym", "<b>Anna"), "short code"),
        (("export", "last", "--schema", "--format", "csv"), "-o FILE"),
        (("export", "last", "--schema", "--format", "pdf", "-o", out), "csv, json, jsonl"),
        (("schema", "pdf"), "csv, json, jsonl"),
    ):
        assert words in error(voicelog(*arguments), code=2)
    assert not Path(out).exists()
