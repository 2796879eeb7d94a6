"""The part of a sound that tells its level: counts worked out by hand."""

import numpy as np
import pytest

from voicelog.audio.base import RATE_HZ, Samples
from voicelog.recognisers.levelling import PAUSES, spoken_part

STEP = RATE_HZ // 100


def steps(levels: str) -> Samples:
    """Ten milliseconds for each sign: "x" at 1000, "." at 10 (40 dB less), "_" no sound at all."""
    values = [{"x": 1000, ".": 10, "_": 0}[sign] for sign in levels]
    there_and_back = np.tile([1, -1], len(levels) * STEP // 2)
    return np.asarray(np.repeat(values, STEP) * there_and_back, np.int16)


def kept(levels: str) -> str:
    found = spoken_part(steps(levels))[::STEP]
    return "".join({1000: "x", 10: ".", 0: "_"}[value] for value in found.tolist())


def test_of_the_pauses_only_so_many_stay_and_the_last_ones() -> None:
    """22 steps of a word and its two edges are 24 of 32: a quarter is 8 steps of pause."""
    assert PAUSES == 0.25
    word = "x" * 22
    assert kept("_" * 40 + "." + word + "." + "." * 30) == "." + word + "." + "." * 8


def test_a_sound_with_few_pauses_stays_whole() -> None:
    assert kept("." + "x" * 60 + "." * 5) == "." + "x" * 60 + "." * 5


@pytest.mark.parametrize("samples", [np.zeros(0, np.int16), np.zeros(RATE_HZ, np.int16)])
def test_what_holds_no_sound_comes_back_as_it_is(samples: Samples) -> None:
    assert np.array_equal(spoken_part(samples), samples)


def test_a_step_softer_than_the_loudest_by_little_is_no_pause() -> None:
    """20 dB less is a tenth of the amplitude: a soft consonant."""
    soft = np.repeat([1000, 100], [20 * STEP, 60 * STEP]).astype(np.int16)
    assert len(spoken_part(soft)) == len(soft)
