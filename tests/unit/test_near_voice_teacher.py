"""What counts in a lesson of the near voice."""

from pathlib import Path
from typing import Any

import numpy as np
import pytest
import soundfile

torch = pytest.importorskip("torch", reason="torch is only there to teach the near voice")
from audio_fixtures.engine_ear import Ear  # noqa: E402
from audio_fixtures.near_voice_teacher import Off, Teacher  # noqa: E402
from voicelog.recognisers.acoustic_model import load_acoustic_model  # noqa: E402
from voicelog.recognisers.aligning import MODEL_FOLDER  # noqa: E402

FIXTURES = Path(__file__).parents[2] / "audio_fixtures"


def recorded(voice: str) -> Any:
    sound, _ = soundfile.read(FIXTURES / voice / "r04.flac", dtype="float32")
    return torch.tensor(np.resize(sound, (1, 40_000)))


def lets_all_through(levels: Any) -> Any:
    return 0 * levels


def off(heard: Any, near: Any) -> Off:
    torch.manual_seed(1)
    return Teacher(Ear(load_acoustic_model(MODEL_FOLDER))).off(lets_all_through, heard, near, 0)


def test_the_near_voice_itself_is_nothing_off() -> None:
    found = off(recorded("slt"), recorded("slt"))
    assert float(found.speech) == pytest.approx(0, abs=1e-4)
    assert float(found.pauses) == pytest.approx(0, abs=1e-4)


def test_it_is_further_off_the_louder_another_voice_is() -> None:
    near, other = recorded("slt"), recorded("rms")
    softer, louder = off(near + 0.05 * other, near), off(near + 0.5 * other, near)
    for part in ("level", "speech", "pauses", "loss"):
        assert 0 < float(getattr(softer, part)) < float(getattr(louder, part))
