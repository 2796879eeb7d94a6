"""Folders that are not the model they should be: one clear error each, and no crash."""

import os
from pathlib import Path

import pytest

from voicelog.errors import RecogniserError
from voicelog.recognisers.vosk import VoskRecogniser
from voicelog.recognisers.vosk_models import check_model


@pytest.fixture
def copy(korean_model: Path, tmp_path: Path) -> Path:
    """The real model with every file a link, so that single ones can be spoiled."""
    folder = tmp_path / "model"
    for file in korean_model.rglob("*"):
        if file.is_file():
            link = folder / file.relative_to(korean_model)
            link.parent.mkdir(parents=True, exist_ok=True)
            os.link(file, link) if _same_disk(file, tmp_path) else link.symlink_to(file)
    return folder


def _same_disk(one: Path, other: Path) -> bool:
    return one.stat().st_dev == other.stat().st_dev


def open_model(folder: Path) -> VoskRecogniser:
    return VoskRecogniser(folder, {"any": ["무릎"]})


def test_no_folder(tmp_path: Path) -> None:
    with pytest.raises(RecogniserError, match="There is no folder") as caught:
        open_model(tmp_path / "nowhere")
    assert "model install" in caught.value.do


def test_a_file_instead_of_a_folder(tmp_path: Path) -> None:
    file = tmp_path / "model.zip"
    file.write_bytes(b"PK")
    with pytest.raises(RecogniserError, match="There is no folder"):
        open_model(file)


def test_any_other_folder_names_what_it_lacks(tmp_path: Path) -> None:
    with pytest.raises(RecogniserError, match=r"lacks am/final\.mdl, conf/mfcc\.conf"):
        open_model(tmp_path)


@pytest.mark.parametrize("name", ["am/final.mdl", "graph/Gr.fst", "graph/HCLr.fst"])
def test_a_missing_or_empty_file_is_named(copy: Path, name: str) -> None:
    (copy / name).unlink()
    with pytest.raises(RecogniserError, match=f"lacks {name}$|lacks {name}\\."):
        check_model(copy)
    (copy / name).write_bytes(b"")
    with pytest.raises(RecogniserError, match=name):
        open_model(copy)


@pytest.mark.parametrize("name", ["am/final.mdl", "graph/Gr.fst", "graph/HCLr.fst"])
def test_a_file_that_was_cut_short_is_an_error_and_no_crash(
    copy: Path, korean_model: Path, name: str
) -> None:
    (copy / name).unlink()
    with (korean_model / name).open("rb") as whole:
        (copy / name).write_bytes(whole.read(100_000))
    with pytest.raises(RecogniserError) as caught:
        open_model(copy)
    assert "model install" in caught.value.do


def test_a_model_with_a_fixed_graph_would_ignore_the_phrases_and_is_refused(copy: Path) -> None:
    (copy / "graph/HCLr.fst").rename(copy / "graph/HCLG.fst")
    with pytest.raises(RecogniserError, match="cannot be held to phrases"):
        open_model(copy)
