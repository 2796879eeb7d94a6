"""The faint noise behind cleaned sound, measured by scipy."""

import numpy as np
import pytest
from scipy import signal

from voicelog.audio.base import RATE_HZ, Samples
from voicelog.audio.level import FULL_SCALE, level_dbfs
from voicelog.audio.quiet_room import BELOW_VOICE_DB, QuietRoom

SILENCE: Samples = np.zeros(8 * RATE_HZ, np.int16)


def test_it_lies_so_far_below_the_voice() -> None:
    noise = QuietRoom(-15.0).behind(SILENCE)
    assert level_dbfs(noise) == pytest.approx(-15 - BELOW_VOICE_DB, abs=0.5)


def test_it_falls_by_six_decibels_an_octave() -> None:
    hertz, power = signal.welch(QuietRoom(0.0).behind(SILENCE), RATE_HZ, nperseg=1024)
    at = [10 * np.log10(power[np.argmin(np.abs(hertz - f))]) for f in (500, 1000, 2000)]
    np.testing.assert_allclose(np.diff(at), -6, atol=1)


def test_the_same_utterance_gets_the_same_noise_whatever_its_pieces() -> None:
    voice = np.random.default_rng(1).normal(0, 500, RATE_HZ).astype(np.int16)
    in_pieces = QuietRoom(-20.0)
    pieces = [in_pieces.behind(voice[n : n + 700]) for n in range(0, len(voice), 700)]
    np.testing.assert_array_equal(np.concatenate(pieces), QuietRoom(-20.0).behind(voice))


def test_a_full_voice_does_not_overflow() -> None:
    loud = np.full(RATE_HZ, FULL_SCALE - 1, np.int16)
    assert QuietRoom(0.0).behind(loud).min() > 0
