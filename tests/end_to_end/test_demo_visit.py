"""The recorded visit, from sound to records: every dictation once, nothing from the talk."""

import json
from collections.abc import Callable
from pathlib import Path
from subprocess import CompletedProcess
from types import ModuleType
from typing import Any

import pytest


@pytest.fixture(scope="module")
def events(
    recorded: tuple[CompletedProcess[str], Path],
) -> tuple[list[dict[str, Any]], Path]:
    done, folder = recorded
    return [json.loads(line) for line in done.stdout.splitlines()], folder


@pytest.fixture(scope="module")
def truth(recordings: ModuleType) -> list[dict[str, Any]]:
    return [record.model_dump(exclude_defaults=True) for record in recordings.load_visit().record]


def said(content: dict[str, Any]) -> dict[str, Any]:
    return {
        slot: value
        for slot, value in content.items()
        if value is not None and value is not False and value != []
    }


def test_every_dictation_is_a_record_once_and_nothing_else_is(
    events: tuple[list[dict[str, Any]], Path], truth: list[dict[str, Any]]
) -> None:
    saved = [said(row["content"]) for row in events[0] if row["event"] == "saved"]
    assert saved == truth


def test_no_talk_was_even_proposed(events: tuple[list[dict[str, Any]], Path]) -> None:
    """What is set aside would be talk that was taken for a dictation."""
    assert [row for row in events[0] if row["event"] == "set aside"] == []


def test_the_export_holds_the_same_records(
    events: tuple[list[dict[str, Any]], Path],
    truth: list[dict[str, Any]],
    voicelog: Callable[..., Any],
) -> None:
    _, folder = events
    done = voicelog("export", "last", "--format", "json", folder=folder)
    assert done.returncode == 0, done.stderr
    exported = json.loads(done.stdout)
    assert exported["visit"]["client"] == "C-014"
    assert len(exported["records"]) == len(truth)


def test_the_demo_shows_records_note_and_files(
    tmp_path: Path, voicelog: Callable[..., Any]
) -> None:
    done = voicelog("demo", "--folder", str(tmp_path / "demo"), folder=tmp_path)
    assert done.returncode == 0, done.stderr
    for expected in ("Records", "The note", "The files", "banded heel glide"):
        assert expected in done.stdout
    assert "not encrypted" in " ".join(done.stdout.split())
    assert (tmp_path / "demo" / "records.sqlite").read_bytes().startswith(b"SQLite format 3")
    (note,) = (tmp_path / "demo").glob("*.md")
    assert "dorsiflexion" in note.read_text(encoding="utf-8")
