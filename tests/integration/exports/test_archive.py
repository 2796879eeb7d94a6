"""A practice as one file and back: identical to the byte, or refused with one clear line."""

import errno
import hashlib
import json
import os
import shutil
import sqlite3
import subprocess
import zipfile
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
import soundfile

from voicelog import archive_reading
from voicelog.archive import write_archive
from voicelog.archive_reading import read_archive
from voicelog.errors import ExportError, StoreError
from voicelog.store.base import Store, Taken

Filled = tuple[Any, Any]
Make = Callable[[str], Any]


def rows(practice: Any, table: str, order: str) -> list[tuple[Any, ...]]:
    """The very bytes in the file of the store, read without voicelog."""
    with sqlite3.connect(practice.house.settings.store_file) as db:
        found = list(db.execute(f"SELECT * FROM {table} ORDER BY {order}"))
    db.close()
    return found


@pytest.fixture
def archive(filled: Filled, tmp_path: Path) -> Path:
    path = tmp_path / "all.zip"
    write_archive(filled[0].store, path, None, sound=True)
    return path


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


# --- files that are not what they should be


def altered(archive: Path, change: Callable[[dict[str, bytes]], None], true: bool = True) -> Path:
    """The archive with other parts; with `true`, its manifest fits them."""
    with zipfile.ZipFile(archive) as zipped:
        parts = {name: zipped.read(name) for name in zipped.namelist()}
    change(parts)
    if true and "manifest.json" in parts:
        manifest = json.loads(parts.pop("manifest.json"))
        manifest["parts"] = {
            name: {"sha256": hashlib.sha256(content).hexdigest(), "bytes": len(content)}
            for name, content in parts.items()
        }
        parts["manifest.json"] = json.dumps(manifest).encode()
    with zipfile.ZipFile(archive, "w", zipfile.ZIP_DEFLATED) as zipped:
        for name, content in parts.items():
            zipped.writestr(name, content)
    return archive


def refused(path: Path, make: Make, words: str) -> None:
    other = make("other")
    with pytest.raises(StoreError, match=words) as caught:
        read_archive(path, other.store)
    assert "\n" not in str(caught.value)
    assert "Nothing was written" in caught.value.kept
    assert other.store.clients() == ()


@pytest.mark.parametrize(
    "name",
    [
        *("../evil", "/etc/evil", "C:\\evil", "visits/../../evil", "visits/000001.jsonl/../../x"),
        *("visits/x.jsonl", "clips/000001.wav", "clips/000001.flac ", "CLIPS/000001.flac", "a"),
    ],
)
def test_path_tricks_are_refused(archive: Path, make: Make, tmp_path: Path, name: str) -> None:
    before = set(tmp_path.rglob("*"))
    path = altered(archive, lambda parts: parts.update({name: b"x"}))
    refused(path, make, "parts that do not belong there")
    new = {p for p in set(tmp_path.rglob("*")) - before if "other" not in p.parts}
    assert new == set(), "nothing is ever unpacked to disk"


def test_a_part_beside_the_manifest_is_refused(archive: Path, make: Make) -> None:
    path = altered(archive, lambda p: p.update({"clips/999999.flac": b"x"}), true=False)
    refused(path, make, "parts that do not belong there")


def test_a_part_twice_is_refused(archive: Path, make: Make) -> None:
    with (
        pytest.warns(UserWarning, match="Duplicate name"),
        zipfile.ZipFile(archive, "a") as zipped,
    ):
        zipped.writestr("visits/000001.jsonl", b"")
    refused(archive, make, "parts that do not belong there")


def test_a_part_that_was_changed_is_named(archive: Path, make: Make) -> None:
    def change(parts: dict[str, bytes]) -> None:
        name = "visits/000003.jsonl"
        parts[name] = parts[name].replace(b'"pain":6', b'"pain":5')

    refused(altered(archive, change, true=False), make, "visits/000003.jsonl has changed since")


def test_a_missing_clip_is_named(archive: Path, make: Make) -> None:
    def change(parts: dict[str, bytes]) -> None:
        del parts["clips/000003.flac"]

    refused(altered(archive, change), make, "clips/000003.flac is missing")


def test_a_newer_kind_of_archive_is_refused(archive: Path, make: Make) -> None:
    def change(parts: dict[str, bytes]) -> None:
        parts["manifest.json"] = parts["manifest.json"].replace(
            b'"voicelog_archive": 1', b'"voicelog_archive": 2'
        )

    refused(altered(archive, change, true=False), make, "no record of this version")


@pytest.mark.parametrize("line", [b"{}", b"[1, 2", b"\xff\xfe", b""])
def test_a_line_that_is_no_record_is_refused(archive: Path, make: Make, line: bytes) -> None:
    path = altered(archive, lambda parts: parts.update({"visits/000003.jsonl": line}))
    refused(path, make, "no record of this version|damaged")


@pytest.mark.parametrize(
    ("there", "trick"),
    [
        (b'"visit_id":"2026-03-02-2"', b'"visit_id":"../../evil"'),
        (b'"entry_id":"', b'"entry_id":"<b>'),
    ],
)
def test_an_id_that_could_lead_astray_is_refused(
    archive: Path, make: Make, there: bytes, trick: bytes
) -> None:
    def change(parts: dict[str, bytes]) -> None:
        assert there in parts["visits/000003.jsonl"]
        parts["visits/000003.jsonl"] = parts["visits/000003.jsonl"].replace(there, trick)

    refused(altered(archive, change), make, "has an id that no record has")


def test_a_part_too_large_to_be_true_is_not_even_unpacked(
    archive: Path, make: Make, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(archive_reading, "MOST_BYTES", 2**20)
    path = altered(archive, lambda parts: parts.update({"visits/000009.jsonl": bytes(2**20 + 1)}))
    refused(path, make, "too large to be true")


@pytest.mark.parametrize(
    ("content", "words"),
    [
        (b"", "no archive of voicelog"),
        (b"Dear colleague,\n", "no archive of voicelog"),
        (b"PK\x03\x04 and so on", "no archive of voicelog"),
        (b"fLaC" + bytes(100), "no archive of voicelog"),
    ],
)
def test_a_file_of_the_wrong_kind_is_named(
    make: Make, tmp_path: Path, content: bytes, words: str
) -> None:
    path = tmp_path / "wrong.zip"
    path.write_bytes(content)
    refused(path, make, words)


def test_any_other_zip_a_folder_and_a_missing_file_are_named(make: Make, tmp_path: Path) -> None:
    with zipfile.ZipFile(tmp_path / "other.zip", "w") as zipped:
        zipped.writestr("letter.txt", "Dear colleague")
    refused(tmp_path / "other.zip", make, "no archive of voicelog")
    refused(tmp_path, make, "cannot be read: is a directory|permission denied")
    refused(tmp_path / "none.zip", make, "cannot be read: no such file")


@pytest.mark.parametrize("share", [0.1, 0.5, 0.9, 0.99])
def test_a_file_that_was_cut_short_is_refused(archive: Path, make: Make, share: float) -> None:
    content = archive.read_bytes()
    archive.write_bytes(content[: int(len(content) * share)])
    refused(archive, make, "no archive of voicelog, or is damaged")


def outcome(path: Path, store: Store) -> Taken | str:
    try:
        return read_archive(path, store)
    except StoreError as error:
        return str(error)


def test_any_flipped_byte_is_refused_or_changes_nothing(archive: Path, make: Make) -> None:
    """Every 97th byte of the file, one at a time: the result is all or nothing, never a mixture."""
    whole = archive.read_bytes()
    other = make("other")
    read_archive(archive, other.store)
    expected = [other.store.parcel(visit.visit_id) for visit in other.store.visits()]
    for at in range(0, len(whole), 97):
        archive.write_bytes(whole[:at] + bytes([whole[at] ^ 0x41]) + whole[at + 1 :])
        came = outcome(archive, other.store)
        assert came == Taken(0, 0, 0) or "not taken in" in str(came)
    assert [other.store.parcel(v.visit_id) for v in other.store.visits()] == expected


# --- a full disk


def test_a_disk_that_fills_up_leaves_the_old_file_and_no_half_one(
    filled: Filled, archive: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    before, names = archive.read_bytes(), sorted(archive.parent.iterdir())

    def full(_: int) -> None:
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(ExportError, match="the disk is full"):
        write_archive(filled[0].store, archive, None, sound=True)
    assert archive.read_bytes() == before
    assert sorted(archive.parent.iterdir()) == names


@pytest.fixture
def small_disk(tmp_path: Path) -> Iterator[Path]:
    """A file system of its own with 8 KiB of room."""
    place = tmp_path / "disk"
    place.mkdir()
    mount = shutil.which("mount")
    command = [str(mount), "-t", "tmpfs", "-o", "size=8k", "tmpfs", str(place)]
    if not mount or subprocess.run(command, check=False, capture_output=True).returncode:
        pytest.skip("mounting a small file system needs Linux and its root")
    yield place
    subprocess.run(["umount", str(place)], check=True)


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
