"""The gate against the same thing done at once over the whole sound, by SciPy's filters."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray
from scipy.ndimage import binary_dilation, uniform_filter1d

from voicelog.audio.base import Samples
from voicelog.audio.gate import AFTER, BEFORE, CLOSED, STEP, PauseGate
from voicelog.audio.level import SILENCE_DBFS

OPENS_DBFS = -40.0
SOFT, LOUD = 50, 5_000
"""Of full scale 32768: about -56 and -16 dBFS as noise."""


def noise(steps: int, amplitude: float, seed: int = 1) -> Samples:
    chance = np.random.default_rng(seed)
    return np.asarray(chance.standard_normal(steps * STEP) * amplitude, np.int16)


def words_and_pauses() -> Samples:
    parts = [(30, SOFT), (20, LOUD), (8, SOFT), (20, LOUD), (40, SOFT), (1, LOUD), (30, SOFT)]
    return np.concatenate([noise(steps, level, seed) for seed, (steps, level) in enumerate(parts)])


def gated(samples: Samples, opens_dbfs: float) -> Samples:
    """A whole utterance at once."""
    gate = PauseGate(opens_dbfs)
    return np.concatenate([gate.feed(samples), gate.flush()])


def by_scipy(samples: Samples) -> NDArray[np.float64]:
    """The gain of each step."""
    power = np.square(samples.reshape(-1, STEP).astype(np.float64)).mean(axis=1)
    near = uniform_filter1d(power, 3)
    loud = 10 * np.log10(2 * near / 32_768**2) > OPENS_DBFS
    before = np.arange(2 * AFTER + 1) >= AFTER
    after = (np.arange(2 * AFTER + 1) <= AFTER) & (np.arange(2 * AFTER + 1) >= AFTER - BEFORE)
    kept = binary_dilation(loud, before) | binary_dilation(loud, after)
    return np.where(kept, 1.0, CLOSED)


def test_pauses_are_turned_down_and_words_with_their_margins_stay() -> None:
    samples = words_and_pauses()
    gains = by_scipy(samples)
    found = gated(samples, OPENS_DBFS).reshape(-1, STEP)
    heard = samples.reshape(-1, STEP)
    steady = np.flatnonzero(np.diff(gains, prepend=gains[0]) == 0)
    expected = np.rint(heard[steady] * gains[steady, None])
    np.testing.assert_array_equal(found[steady[1:]], expected[1:])
    assert 0.2 < np.mean(gains == CLOSED) < 0.8


def test_between_pause_and_word_the_level_slides() -> None:
    samples = words_and_pauses()
    found = gated(samples, OPENS_DBFS).astype(float)
    changes = np.flatnonzero(np.diff(by_scipy(samples)))
    for step in changes + 1:
        here = slice(step * STEP, (step + 1) * STEP)
        loud = np.abs(samples[here]) > SOFT / 2
        ratio = found[here][loud] / samples[here][loud]
        assert abs(ratio[0] - ratio[-1]) > 0.9
        assert np.abs(np.diff(ratio)).max() < 0.3


@settings(max_examples=30, deadline=None)
@given(st.lists(st.integers(0, 2_000), min_size=1, max_size=8))
def test_the_length_of_the_blocks_makes_no_difference(sizes: list[int]) -> None:
    samples = words_and_pauses()[:-37]
    gate, given_back, at = PauseGate(OPENS_DBFS), [], 0
    while at < len(samples):
        for size in (*sizes, 1):
            given_back.append(gate.feed(samples[at : at + size]))
            at += size
    given_back.append(gate.flush())
    np.testing.assert_array_equal(np.concatenate(given_back), gated(samples, OPENS_DBFS))


def test_it_is_no_more_than_50_ms_late() -> None:
    gate = PauseGate(OPENS_DBFS)
    for count in range(1, 40):
        before = gate.feed(noise(1, LOUD, count))
        assert len(before) == (STEP if count > BEFORE + 1 else 0)


@pytest.mark.parametrize("samples", [words_and_pauses(), noise(50, SOFT), np.zeros(0, np.int16)])
def test_while_the_room_is_not_known_nothing_is_touched(samples: Samples) -> None:
    np.testing.assert_array_equal(gated(samples, SILENCE_DBFS), samples)


def test_the_loudest_samples_do_not_wrap_round() -> None:
    samples = np.full(20 * STEP, -32_768, np.int16)
    np.testing.assert_array_equal(gated(samples, OPENS_DBFS), samples)
