"""Exports are written whole or not at all, over no other file unasked, and closed to others."""

import errno
import os
import stat
from pathlib import Path

import pytest

from voicelog.errors import ExportError
from voicelog.exports.files import write_file


def test_a_file_is_written_byte_for_byte_and_closed_to_others(tmp_path: Path) -> None:
    path = tmp_path / "note.csv"
    path.write_text("an older one")
    write_file(path, "range_deg\r\n12°\r\n", over=True)
    assert path.read_bytes() == b"range_deg\r\n12\xc2\xb0\r\n"
    assert [file.name for file in tmp_path.iterdir()] == ["note.csv"]
    if os.name == "posix":
        assert stat.S_IMODE(path.stat().st_mode) == 0o600


@pytest.mark.parametrize(
    ("place", "why", "do"),
    [
        ("nowhere/note.md", "There is no folder .*nowhere", "Make that folder"),
        ("file/note.md", "There is no folder .*file", "Make that folder"),
        (".", "is a folder", "Name a file"),
    ],
)
def test_a_place_that_cannot_hold_a_file_is_named(
    tmp_path: Path, place: str, why: str, do: str
) -> None:
    (tmp_path / "file").write_text("x")
    with pytest.raises(ExportError, match=why) as caught:
        write_file(tmp_path / place, "text")
    assert "\n" not in str(caught.value)
    assert caught.value.kept
    assert do in caught.value.do
    assert [file.name for file in tmp_path.iterdir()] == ["file"]


def test_a_disk_that_fills_up_leaves_the_old_file_and_no_half_one(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "note.md"
    path.write_text("old")

    def full(_: int) -> None:
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(ExportError, match="the disk is full"):
        write_file(path, "new", over=True)
    assert path.read_text() == "old"
    assert [file.name for file in tmp_path.iterdir()] == ["note.md"]


@pytest.mark.parametrize("small_disk", ["64k"], indirect=True)
def test_a_disk_that_is_really_full_leaves_the_old_file_and_no_half_one(small_disk: Path) -> None:
    path = small_disk / "note.md"
    write_file(path, "old")
    with pytest.raises(ExportError, match="the disk is full"):
        write_file(path, "x" * 100_000, over=True)
    assert path.read_text() == "old"
    assert [file.name for file in small_disk.iterdir()] == ["note.md"]


def test_another_file_is_replaced_only_when_that_is_asked_for(tmp_path: Path) -> None:
    path = tmp_path / "letter.md"
    path.write_text("Dear colleague")
    with pytest.raises(ExportError, match="is there already") as caught:
        write_file(path, "note")
    assert "--over" in caught.value.do
    assert path.read_text() == "Dear colleague"
    write_file(path, "note", over=True)
    assert path.read_text() == "note"


@pytest.mark.parametrize("there", [True, False], ids=["there", "not there yet"])
@pytest.mark.parametrize(
    "name",
    [
        *("records.sqlite", "records.sqlite.keys", "records.sqlite-wal", "Today.SQLITE"),
        *("records.sqlite.before-restore-20260302-090000", "0a1b.key", "settings.toml", "MT.voice"),
    ],
)
def test_what_the_practice_keeps_is_never_replaced(tmp_path: Path, name: str, there: bool) -> None:
    path = tmp_path / name
    if there:
        path.write_text("kept")
    with pytest.raises(ExportError, match="has the name of records, keys or settings"):
        write_file(path, "note", over=True)
    assert [file.read_text() for file in tmp_path.iterdir()] == ["kept"] * there


@pytest.mark.skipif(os.name != "posix", reason="links, pipes and such devices")
def test_what_a_link_leads_to_is_what_counts(tmp_path: Path) -> None:
    store, note = tmp_path / "records.sqlite", tmp_path / "old.md"
    for file in (store, note):
        file.write_text("kept")
        file.with_suffix(".link").symlink_to(file)
    with pytest.raises(ExportError, match="name of records"):
        write_file(store.with_suffix(".link"), "note", over=True)
    write_file(note.with_suffix(".link"), "note", over=True)
    assert (store.read_text(), note.read_text()) == ("kept", "note")
    assert note.with_suffix(".link").is_symlink()


@pytest.mark.skipif(os.name != "posix", reason="links, pipes and such devices")
def test_a_device_and_a_pipe_are_written_to_as_they_are(tmp_path: Path) -> None:
    full = tmp_path / "full"
    full.symlink_to("/dev/full")
    with pytest.raises(ExportError, match="the disk is full"):
        write_file(full, "note", over=True)
    assert full.is_char_device()
    end, written = os.pipe()
    write_file(Path(f"/dev/fd/{written}"), "note")
    assert os.read(end, 100) == b"note"
    os.close(end)
    os.close(written)
