"""The sound check: levels against sound made to measure, and what is said about it."""

from collections.abc import Callable
from pathlib import Path
from types import ModuleType

import numpy as np
import pytest
import soundfile
import soxr

from voicelog.audio.level import level_dbfs
from voicelog.audio.sound_file import SoundFile
from voicelog.listening.hearing import Hearing
from voicelog.settings.fields import Settings
from voicelog.sound_check import SoundCheck, sound_check
from voicelog.wiring import House

Make = Callable[[float, float], Path]


@pytest.fixture(scope="module")
def hearing() -> Hearing:
    return House(Settings()).hearing("pocketsphinx")


@pytest.fixture
def make(tmp_path: Path, recordings: ModuleType) -> Make:
    """A dictation at a gain, over white noise of so many dBFS."""
    said = next(r for r in recordings.load_manifest().recordings() if r.voice == "slt")
    speech, rate_hz = soundfile.read(said.path, dtype="float64")

    def mixed(gain_db: float, noise_dbfs: float) -> Path:
        # The zero of dBFS is a sine at full scale (AES17), whose mean square is one half.
        spread = 10 ** (noise_dbfs / 20) / np.sqrt(2)
        length = len(speech) + 4 * rate_hz
        sound = np.random.default_rng(3).normal(0, spread, length)
        sound[2 * rate_hz : 2 * rate_hz + len(speech)] += speech * 10 ** (gain_db / 20)
        path = tmp_path / "sound.wav"
        soundfile.write(path, np.clip(sound, -1, 1), rate_hz)
        return path

    return mixed


def checked(path: Path, hearing: Hearing) -> SoundCheck:
    return sound_check(SoundFile(path), hearing)


def test_the_room_reads_its_level_within_a_decibel_or_two(make: Make, hearing: Hearing) -> None:
    found = checked(make(0, -60), hearing)
    assert found.room_dbfs == pytest.approx(-60, abs=2)
    assert found.text
    assert list(found.remarks) == []


def test_a_loud_room_is_told(make: Make, hearing: Hearing) -> None:
    found = checked(make(0, -33), hearing)
    assert any("room" in remark for remark in found.remarks)


def test_a_quiet_voice_is_told(make: Make, hearing: Hearing) -> None:
    found = checked(make(-28, -85), hearing)
    assert any("very quiet" in remark for remark in found.remarks)


def test_clipping_is_told(make: Make, hearing: Hearing) -> None:
    assert any("clips" in remark for remark in checked(make(24, -60), hearing).remarks)


def test_silence_is_told(tmp_path: Path, hearing: Hearing) -> None:
    path = tmp_path / "silence.wav"
    soundfile.write(path, np.zeros(32_000), 16_000)
    found = checked(path, hearing)
    assert found.speech_dbfs is None
    assert found.room_dbfs == level_dbfs(np.zeros(10, np.int16))
    assert any("Nobody was heard" in remark for remark in found.remarks)


def test_a_microphone_with_the_band_of_a_telephone_is_told(make: Make, hearing: Hearing) -> None:
    path = make(0, -60)
    samples, rate_hz = soundfile.read(path)
    assert not checked(path, hearing).narrow
    soundfile.write(path, soxr.resample(samples, rate_hz, 8000), 8000)
    found = checked(path, hearing)
    assert found.text
    assert any("telephone" in remark for remark in found.remarks)
