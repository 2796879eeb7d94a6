"""What scripts are promised of `voicelog transcribe --json`."""

import json
from collections.abc import Callable
from pathlib import Path
from types import ModuleType
from typing import Any

import pytest

Run = Callable[..., Any]
KEYS = {
    *("file", "engine", "accepted", "reason", "kind", "text", "slots", "confidence"),
    *("alternatives", "audio_s", "compute_s"),
}
SLOTS = {"side", "joint", "motion", "phase", "range_deg", "pain", "quality", "end_feel"}


@pytest.fixture(scope="module")
def gap_trial(recordings: ModuleType) -> Path:
    """Somebody who says "gap trial, sixteen degrees, pain three", with no word of the joint."""
    said = "gap trial, sixteen degrees, pain three"
    manifest = recordings.load_manifest()
    (number,) = [one.id for one in manifest.utterance if one.text == said]
    (path,) = [r.path for r in manifest.recordings() if (r.voice, r.id) == ("slt", number)]
    return Path(path)


@pytest.mark.parametrize("moved", ["left ankle dorsiflexion", "Left ankle, dorsiflexion"])
def test_what_was_moved_before_is_carried_over(
    voicelog: Run, tmp_path: Path, gap_trial: Path, moved: str
) -> None:
    done = voicelog("transcribe", "--json", "--context", moved, str(gap_trial), folder=tmp_path)
    assert done.returncode == 0, done.stderr
    (row,) = map(json.loads, done.stdout.splitlines())
    assert row.keys() >= KEYS
    assert row["slots"].keys() >= SLOTS
    assert {slot: row["slots"][slot] for slot in SLOTS} == {
        "side": "left",
        "joint": "ankle",
        "motion": "dorsiflexion",
        "phase": "gap",
        "range_deg": 16,
        "pain": 3,
        "quality": [],
        "end_feel": None,
    }


def test_what_is_no_movement_cannot_be_carried_over(
    voicelog: Run, tmp_path: Path, gap_trial: Path
) -> None:
    done = voicelog("transcribe", "--context", "left poem", str(gap_trial), folder=tmp_path)
    assert done.returncode == 2
    assert "is not a movement" in done.stderr
