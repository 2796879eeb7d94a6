"""The safety screen asked aloud and answered by a recorded voice, with the built-in engine."""

from collections.abc import Callable
from pathlib import Path
from types import ModuleType
from typing import Any

import numpy as np
import pytest
import soundfile

from voicelog.audio.base import RATE_HZ
from voicelog.data_files.reference_tables import load_tables

Run = Callable[..., Any]
ITEMS = [item.id for item in load_tables().screen]


@pytest.fixture
def spoken(recordings: ModuleType) -> dict[str, Any]:
    """One recorded voice saying each command word."""
    manifest = recordings.load_manifest()
    words = {said.id: said.text for said in manifest.utterance if said.kind == "command"}
    return {
        words[recording.id]: soundfile.read(recording.path, dtype="int16")[0]
        for recording in manifest.recordings()
        if recording.voice == "slt" and recording.id in words
    }


def test_answers_given_by_voice_are_read_back_and_kept(
    voicelog: Run, spoken: dict[str, Any], tmp_path: Path
) -> None:
    said = ["affirm" if item == "B1.1" else "negative" for item in ITEMS]
    quiet = np.random.default_rng(0).normal(0, 8, 3 * RATE_HZ // 2).astype(np.int16)
    sound = [part for word in (*said, "affirm") for part in (spoken[word], quiet)]
    path = tmp_path / "answers.wav"
    soundfile.write(path, np.concatenate([quiet, *sound]), RATE_HZ)
    done = voicelog(
        *("screen", "C-014", "--voice", "--audio", str(path), "--engine", "pocketsphinx"),
        folder=tmp_path,
    )
    assert done.returncode == 0, done.stderr
    told = " ".join(done.stdout.split())
    assert f"{len(ITEMS) - 1} answered no. Yes or unsure to: Excess mobility" in told
    assert "Every question has an answer on file. " in told
    assert "No gap trial by what is on file." in told
