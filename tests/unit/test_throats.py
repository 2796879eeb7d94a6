"""Other throats against the estimates of the library that takes voices apart."""

from pathlib import Path
from typing import Any

import numpy as np
import pytest
import soundfile

pyworld = pytest.importorskip("pyworld", reason="pyworld is only there to teach the near voice")

from audio_fixtures.manifest import RATE_HZ  # noqa: E402
from audio_fixtures.throats import HIGHEST_HZ, LOWEST_HZ, Throat  # noqa: E402

RECORDED = Path(__file__).parents[2] / "audio_fixtures" / "rms" / "r01.flac"


def recorded() -> Any:
    return soundfile.read(RECORDED, dtype="float32")[0]


def pitch_hz(sound: Any) -> float:
    """The middle of the pitch, by the slower of the library's two estimators."""
    pitch, _ = pyworld.harvest(sound.astype(float), RATE_HZ)
    return float(np.exp(np.log(pitch[pitch > 0]).mean()))


def middle_hz(sound: Any) -> float:
    """Where half of the logarithmic spectrum above its floor lies."""
    lines = np.log(np.abs(np.fft.rfft(sound)) + 1e-9)
    lines -= lines.min()
    return float(
        np.interp(lines.sum() / 2, lines.cumsum(), np.fft.rfftfreq(len(sound), 1 / RATE_HZ))
    )


@pytest.mark.parametrize("wanted_hz", [95.0, 210.0])
def test_the_voice_gets_the_pitch_of_the_throat(wanted_hz: float) -> None:
    said = Throat(formants=1.0, pitch_hz=wanted_hz).says(recorded())
    assert pitch_hz(said) == pytest.approx(wanted_hz, rel=0.08)


def test_a_shorter_throat_sounds_higher_and_a_slow_one_takes_longer() -> None:
    long, short = (Throat(by, pitch_hz=130.0).says(recorded()) for by in (0.85, 1.2))
    assert middle_hz(short) > middle_hz(long)
    slow = Throat(1.0, pitch_hz=130.0, slow=1.25).says(recorded())
    assert len(slow) == pytest.approx(1.25 * len(recorded()), rel=0.02)


def test_what_has_no_pitch_comes_back_as_it_is() -> None:
    silence = np.zeros(RATE_HZ, np.float32)
    assert Throat(1.2, pitch_hz=200.0).says(silence) is silence


def test_throats_that_are_drawn_lie_among_those_of_people() -> None:
    drawn = [Throat.drawn(np.random.default_rng(seed)) for seed in range(200)]
    assert all(LOWEST_HZ <= throat.pitch_hz <= HIGHEST_HZ for throat in drawn)
    low, high = (
        [t.pitch_hz for t in drawn if (t.formants < 1) == longer] for longer in (True, False)
    )
    assert np.mean(high) > 1.3 * np.mean(low)
