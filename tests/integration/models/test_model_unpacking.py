"""Unpacking and finding a model: whole or not at all, and nowhere but in its own folder."""

import errno
import hashlib
import io
import shutil
from pathlib import Path
from typing import IO, Any

import pytest

from voicelog.errors import RecogniserError
from voicelog.recognisers.download import Progress
from voicelog.recognisers.vosk_models import SMALL_ENGLISH_SHA256, SMALL_ENGLISH_URL


def quietly(_: Progress) -> None:
    """Report to nobody."""


class FullDisk(io.FileIO):
    """A file on a disk without space."""

    def write(self, _: Any) -> int:
        raise OSError(errno.ENOSPC, "No space left on device")


def test_the_official_model_has_an_encrypted_address_and_a_whole_checksum() -> None:
    assert SMALL_ENGLISH_URL.startswith("https://")
    assert len(bytes.fromhex(SMALL_ENGLISH_SHA256)) == hashlib.sha256().digest_size


def test_a_model_is_installed_whole_and_nothing_else_stays(shop: Any) -> None:
    model = shop.models.install(quietly)
    assert (model.name, model.folder) == (shop.name, shop.models.folder / shop.name)
    assert model.size_bytes == len(shop.layout) * len(shop.noise)
    assert all((model.folder / name).read_bytes() == shop.noise for name in shop.layout)
    assert shop.left_over == [shop.name]
    assert shop.models.installed() == (model,)


def test_progress_tells_the_size_and_reaches_it_in_every_stage(shop: Any) -> None:
    steps: list[Progress] = []
    shop.models.install(steps.append)
    assert list(dict.fromkeys(step.stage for step in steps)) == [
        "downloading",
        "checking",
        "unpacking",
    ]
    for stage, size in (
        ("downloading", len(shop.whole)),
        ("unpacking", len(shop.layout) * len(shop.noise)),
    ):
        done = [step.done_bytes for step in steps if step.stage == stage]
        assert done == sorted(done)
        assert (done[0], done[-1]) == (0, size)
        assert {step.total_bytes for step in steps if step.stage == stage} == {size}


def test_an_installed_model_is_not_fetched_again(shop: Any) -> None:
    first = shop.models.install(quietly)
    assert shop.models.install(quietly) == first
    assert len(shop.server.asked) == 1


@pytest.mark.parametrize("stage", ["downloading", "unpacking"])
def test_a_stop_by_key_leaves_no_half_model_and_the_next_try_succeeds(
    shop: Any, stage: str
) -> None:
    def stop(step: Progress) -> None:
        if step.stage == stage and step.done_bytes > 0:
            raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        shop.models.install(stop)
    assert shop.models.installed() == ()
    assert shop.left_over == [f"{shop.name}.zip.part", f"{shop.name}.zip.part.validator"]
    assert shop.models.install(quietly).name == shop.name


def test_what_a_crash_left_half_unpacked_is_no_model_and_is_cleared(shop: Any) -> None:
    half = shop.models.folder / f".{shop.name}.unpacking" / shop.name
    for name in shop.layout:
        (half / name).parent.mkdir(parents=True, exist_ok=True)
        (half / name).write_bytes(b"old")
    assert shop.models.installed() == ()
    model = shop.models.install(quietly)
    assert (model.folder / shop.layout[0]).read_bytes() == shop.noise
    assert shop.left_over == [shop.name]


@pytest.mark.parametrize(
    "name",
    ["../outside", "MODEL/../../outside", "/outside", "C:\\outside", "C:outside", "a\\..\\..\\b"],
)
def test_an_archive_that_writes_elsewhere_is_refused_whole(shop: Any, name: str) -> None:
    content = shop.archive(
        {f"{shop.name}/{shop.layout[0]}": shop.noise, name.replace("MODEL", shop.name): b"bad"}
    )
    shop.server.content = content
    models = shop.models_at(shop.models.folder, shop.models.url, content)
    with pytest.raises(RecogniserError, match="outside its own folder"):
        models.install(quietly)
    assert not any(place.is_dir() for place in models.folder.iterdir())
    assert not list(models.folder.parent.rglob("outside"))


@pytest.mark.parametrize(
    ("holds", "complaint"),
    [
        ("no archive", "not a sound zip"),
        ("no model", "not a complete Vosk model"),
        ("empty files", "not a complete Vosk model"),
    ],
)
def test_an_archive_without_a_model_installs_nothing(shop: Any, holds: str, complaint: str) -> None:
    content = {
        "no archive": b"not a zip file",
        "no model": shop.archive({f"{shop.name}/README": b"hello"}),
        "empty files": shop.archive({f"{shop.name}/{name}": b"" for name in shop.layout}),
    }[holds]
    shop.server.content = content
    models = shop.models_at(shop.models.folder, shop.models.url, content)
    with pytest.raises(RecogniserError, match=complaint):
        models.install(quietly)
    assert not any(place.is_dir() for place in models.folder.iterdir())


def test_too_little_space_for_unpacking_is_told_in_advance(
    shop: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(shutil, "disk_usage", lambda _: shutil._ntuple_diskusage(9, 8, 1))
    with pytest.raises(RecogniserError, match="the model needs 2 MB"):
        shop.models.install(quietly)
    assert not any(place.is_dir() for place in shop.models.folder.iterdir())


@pytest.mark.parametrize("full", ["download", "unpacking"])
def test_a_disk_that_fills_up_leaves_no_half_model(
    shop: Any, monkeypatch: pytest.MonkeyPatch, full: str
) -> None:
    def no_space(*_: object) -> None:
        raise OSError(errno.ENOSPC, "No space left on device")

    def open_full(path: Path, *mode: Any, **how: Any) -> IO[Any]:
        return FullDisk(path, *mode) if path.suffix == ".part" else open_before(path, *mode, **how)

    open_before = Path.open
    if full == "download":
        monkeypatch.setattr(Path, "open", open_full)
    else:
        monkeypatch.setattr(shutil, "copyfileobj", no_space)
    with pytest.raises(RecogniserError, match="disk is full") as caught:
        shop.models.install(quietly)
    assert "Free some space" in caught.value.do
    assert not any(place.is_dir() for place in shop.models.folder.iterdir())
    monkeypatch.undo()
    assert shop.models.install(quietly).name == shop.name


def test_a_folder_that_cannot_be_made_is_named(shop: Any, tmp_path: Path) -> None:
    (tmp_path / "file").write_text("in the way")
    models = shop.models_at(tmp_path / "file" / "models", shop.models.url)
    with pytest.raises(RecogniserError, match="models cannot be written"):
        models.install(quietly)


def test_something_else_under_the_models_name_is_left_alone(shop: Any) -> None:
    own = shop.models.folder / shop.name / "own notes.txt"
    own.parent.mkdir(parents=True)
    own.write_text("keep")
    with pytest.raises(RecogniserError, match="in the way"):
        shop.models.install(quietly)
    assert own.read_text() == "keep"
    assert shop.server.asked == []


def test_a_model_is_found_by_name_or_by_folder(shop: Any) -> None:
    model = shop.models.install(quietly)
    assert shop.models.find(shop.name) == model
    assert shop.models.find(model.folder) == model


def test_a_name_that_is_not_installed_lists_those_that_are(shop: Any) -> None:
    with pytest.raises(RecogniserError, match=r"\(none\)"):
        shop.models.find("vosk-model-other")
    shop.models.install(quietly)
    with pytest.raises(RecogniserError, match=shop.name):
        shop.models.find("vosk-model-other")


def test_a_folder_that_is_no_model_names_what_it_lacks(shop: Any, tmp_path: Path) -> None:
    with pytest.raises(RecogniserError, match=r"lacks am/final\.mdl"):
        shop.models.find(tmp_path)


def test_a_folder_of_models_that_cannot_be_read_is_named(
    shop: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    def closed(_: Path) -> bool:
        raise PermissionError(errno.EACCES, "Permission denied")

    monkeypatch.setattr(Path, "is_dir", closed)
    with pytest.raises(RecogniserError, match="cannot be read") as caught:
        shop.models.installed()
    assert str(shop.models.folder) in caught.value.what
