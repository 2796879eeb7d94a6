"""The network that knows speech, against the package that its weights come from."""

import json
from pathlib import Path

import numpy as np
import pytest
import soundfile
from hypothesis import given, settings
from hypothesis import strategies as st

from voicelog.audio.base import RATE_HZ, Samples
from voicelog.recognisers.speech_embedding import (
    FRAMES,
    FRAMES_A_STEP,
    HOP,
    SIZE,
    WINDOW,
    embedding,
)

ROOT = Path(__file__).parents[2]
OF_PACKAGE = json.loads((ROOT / "tests" / "data" / "speech_embedding.json").read_text("utf-8"))


def piece() -> Samples:
    samples, _ = soundfile.read(ROOT / "audio_fixtures" / "slt" / "r02.flac", dtype="int16")
    return np.asarray(samples[4000:20352], np.int16)


def test_it_gives_what_the_package_gives() -> None:
    """`source` in the file says how those figures came about; the weights are kept in 16 bits."""
    wanted = np.array(OF_PACKAGE["rows"])
    found = embedding(piece())
    assert found.shape == wanted.shape == (4, SIZE)
    assert np.abs(found - wanted).max() < 0.03 * np.abs(wanted).mean()


@pytest.mark.parametrize("gain", [0.1, 0.5, 2.0])
def test_it_does_not_depend_on_the_microphone_level(gain: float) -> None:
    louder = np.clip(piece() * gain, -32768, 32767).astype(np.int16)
    found, usual = embedding(louder), embedding(piece())
    assert np.corrcoef(found.ravel(), usual.ravel())[0, 1] > 0.99


@settings(deadline=None)
@given(st.integers(0, 2 * RATE_HZ))
def test_there_is_a_row_for_each_whole_step(count: int) -> None:
    frames = max(0, 1 + (count - WINDOW) // HOP)
    rows = 0 if frames < FRAMES else 1 + (frames - FRAMES) // FRAMES_A_STEP
    assert embedding(np.zeros(count, np.int16)).shape == (rows, SIZE)


def test_a_later_row_is_that_of_the_sound_from_there_on() -> None:
    """The network goes over the sound without beginning anew at each row."""
    step = FRAMES_A_STEP * HOP
    whole, later = embedding(piece()), embedding(piece()[step:])
    assert np.allclose(whole[1:], later, atol=0.5)
