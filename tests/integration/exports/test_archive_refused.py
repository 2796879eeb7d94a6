"""Files that are not the archive they should be are refused whole."""

import hashlib
import json
import zipfile
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from voicelog.archive import reading
from voicelog.archive.reading import read_archive
from voicelog.errors import StoreError
from voicelog.store.base import Store, Taken

Make = Callable[[str], Any]


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
    monkeypatch.setattr(reading, "MOST_BYTES", 2**20)
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
