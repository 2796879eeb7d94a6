"""A practice as one file and back: identical to the byte, or refused with one clear line."""

import errno
import hashlib
import json
import os
import sqlite3
import zipfile
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
import soundfile

from voicelog.archive.reading import read_archive
from voicelog.archive.writing import write_archive
from voicelog.errors import ExportError, StoreError
from voicelog.store.base import Taken

Filled = tuple[Any, Any]
Make = Callable[[str], Any]


def rows(practice: Any, table: str, order: str) -> list[tuple[Any, ...]]:
    """The very bytes in the file of the store, read without voicelog."""
    with sqlite3.connect(practice.house.settings.store_file) as db:
        found = list(db.execute(f"SELECT * FROM {table} ORDER BY {order}"))
    db.close()
    return found


def test_the_whole_practice_comes_back_identical_to_the_byte(
    filled: Filled, make: Make, archive: Path
) -> None:
    practice, other = filled[0], make("other")
    assert read_archive(archive, other.store) == Taken(3, 32, 3)
    for table, order in (("visit", "visit_id"), ("entry_version", "entry_id, version")):
        assert rows(other, table, order) == rows(practice, table, order)
        assert rows(other, table, order)
    for table in ("clip", "client_fact"):
        here, there = (
            sorted(row[1:] for row in rows(place, table, "1")) for place in (other, practice)
        )
        assert here == there
    assert read_archive(archive, other.store) == Taken(0, 0, 0)


def test_one_client_goes_alone(filled: Filled, make: Make, tmp_path: Path) -> None:
    path, other = tmp_path / "one.zip", make("other")
    write_archive(filled[0].store, path, "C-014", sound=False)
    read_archive(path, other.store)
    assert other.store.clients() == ("C-014",)
    assert len(other.store.visits()) == 2
    for name in zipfile.ZipFile(path).namelist():
        text = zipfile.ZipFile(path).read(name).decode()
        assert '"C-7"' not in text
        assert '"C-9"' not in text


def test_sound_goes_only_when_asked_for(filled: Filled, archive: Path, tmp_path: Path) -> None:
    path = tmp_path / "silent.zip"
    write_archive(filled[0].store, path, None, sound=False)
    assert not [n for n in zipfile.ZipFile(path).namelist() if n.startswith("clips/")]
    with zipfile.ZipFile(archive) as zipped:
        clips = [name for name in zipped.namelist() if name.startswith("clips/")]
        assert len(clips) == 14
        for name in clips:
            with zipped.open(name) as sound:
                assert soundfile.info(sound).format == "FLAC"


def test_the_same_records_make_the_same_file(filled: Filled, archive: Path, tmp_path: Path) -> None:
    again = tmp_path / "again.zip"
    write_archive(filled[0].store, again, None, sound=True)
    assert again.read_bytes() == archive.read_bytes()


def test_the_manifest_holds_the_sha_256_of_every_other_part(archive: Path) -> None:
    with zipfile.ZipFile(archive) as zipped:
        assert zipped.testzip() is None
        parts = json.loads(zipped.read("manifest.json"))["parts"]
        assert {*parts, "manifest.json"} == set(zipped.namelist())
        for name, part in parts.items():
            assert hashlib.sha256(zipped.read(name)).hexdigest() == part["sha256"]


def test_nothing_on_record_is_said(make: Make, tmp_path: Path) -> None:
    for client, words in ((None, "Nothing is on record yet"), ("C-1", "on record for C-1")):
        with pytest.raises(StoreError, match=words):
            write_archive(make("empty").store, tmp_path / "x.zip", client, sound=False)
    assert not (tmp_path / "x.zip").exists()


def test_a_disk_that_fills_up_leaves_the_old_file_and_no_half_one(
    filled: Filled, archive: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    before, names = archive.read_bytes(), sorted(archive.parent.iterdir())

    def full(_: int) -> None:
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(ExportError, match="the disk is full"):
        write_archive(filled[0].store, archive, None, sound=True, over=True)
    assert archive.read_bytes() == before
    assert sorted(archive.parent.iterdir()) == names


@pytest.mark.parametrize("small_disk", ["8k"], indirect=True)
def test_a_disk_that_is_really_full_is_left_empty(filled: Filled, small_disk: Path) -> None:
    with pytest.raises(ExportError, match="the disk is full"):
        write_archive(filled[0].store, small_disk / "all.zip", None, sound=True)
    assert list(small_disk.iterdir()) == []


def test_a_failing_store_leaves_no_half_file(
    filled: Filled, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def broken(_: str) -> None:
        raise StoreError("The records file is damaged")

    monkeypatch.setattr(filled[0].store, "parcel", broken)
    with pytest.raises(StoreError, match="damaged"):
        write_archive(filled[0].store, tmp_path / "x.zip", None, sound=True)
    assert not list(tmp_path.glob("*.zip*"))
    assert not list(tmp_path.glob(".x*"))
