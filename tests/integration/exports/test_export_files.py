"""Exports are written whole or not at all, and are closed to others."""

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


@pytest.mark.parametrize("small_disk", ["64k"], indirect=True)
def test_a_disk_that_is_really_full_leaves_the_old_file_and_no_half_one(small_disk: Path) -> None:
    path = small_disk / "note.md"
    write_file(path, "old")
    with pytest.raises(ExportError, match="the disk is full"):
        write_file(path, "x" * 100_000)
    assert path.read_text() == "old"
    assert [file.name for file in small_disk.iterdir()] == ["note.md"]
