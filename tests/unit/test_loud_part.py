"""The loud part of an utterance, against sound whose parts are known."""

import numpy as np

from voicelog.audio.base import RATE_HZ, Samples
from voicelog.audio.loud_part import KEPT_S, SMOOTH_S, loud_part


def noise(seconds: float, level: float, seed: int) -> Samples:
    count = round(seconds * RATE_HZ)
    return (np.random.default_rng(seed).standard_normal(count) * level).astype(np.int16)


def test_softer_sound_at_both_ends_is_cut_but_for_a_margin() -> None:
    soft, loud = noise(2.0, 100, 1), noise(3.0, 1000, 2)
    first, last = loud_part(np.concatenate([soft, loud, soft]))
    margin = (KEPT_S + SMOOTH_S) * RATE_HZ
    assert len(soft) - margin <= first <= len(soft) - 0.2 * RATE_HZ
    assert len(soft) + len(loud) + 0.2 * RATE_HZ <= last <= len(soft) + len(loud) + margin


def test_a_pause_between_words_is_kept() -> None:
    loud, pause = noise(1.0, 1000, 1), noise(0.5, 2, 2)
    assert loud_part(np.concatenate([loud, pause, loud])) == (0, 2 * len(loud) + len(pause))


def test_soft_endings_of_words_are_kept() -> None:
    """A word may fall by 25 dB towards its end, over some 0.3 s."""
    fading = noise(0.3, 1000, 1) * np.logspace(0, -1.25, round(0.3 * RATE_HZ))
    sound = np.concatenate([noise(2.0, 1000, 2), fading.astype(np.int16)])
    assert loud_part(sound) == (0, len(sound))


def test_silence_and_short_sounds_stay_whole() -> None:
    assert loud_part(np.zeros(0, np.int16)) == (0, 0)
    assert loud_part(noise(0.5, 1000, 1)) == (0, RATE_HZ // 2)
    assert loud_part(np.zeros(RATE_HZ, np.int16)) == (0, RATE_HZ)
