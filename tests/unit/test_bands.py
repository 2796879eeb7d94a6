"""The bands in which sound is changed, and that nothing gets lost on the way there and back."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import signal

from tests.streamed import noise, through
from voicelog.audio import bands
from voicelog.audio.bands import BANDS, FFT, HOP, WINDOW, BandFilter, Floats, Spectra
from voicelog.audio.base import RATE_HZ


class Louder(BandFilter):
    """Turns each window up by so many decibels."""

    def __init__(self, look: int, db: float = 0.0) -> None:
        self.db = db
        super().__init__(look)

    def judge(self, levels: Floats) -> Floats:
        return np.full_like(levels, self.db)

    def change(self, spectra: Spectra, judged: Floats) -> Spectra:
        return np.asarray(spectra * 10 ** (judged[:, :1] / 20), np.complex64)


def test_the_windows_and_the_bands_add_up_to_one() -> None:
    assert signal.check_COLA(bands.window() ** 2, WINDOW, WINDOW - HOP, tol=1e-6)
    np.testing.assert_allclose(bands.filters().sum(axis=0), 1, atol=1e-6)
    assert bands.filters().shape == (BANDS, FFT // 2 + 1)


def test_the_bands_lie_evenly_in_mel() -> None:
    # O'Shaughnessy 1987, as most speech tools have it: 1000 Hz is 1000 mel, from memory
    assert bands._mel(1000) == pytest.approx(1000, abs=0.1)
    middles = bands.filters().argmax(axis=1) * RATE_HZ / FFT
    mels = np.array([bands._mel(hertz) for hertz in middles])
    np.testing.assert_allclose(np.diff(mels)[8:], np.diff(mels)[8:].mean(), rtol=0.25)


@settings(max_examples=20, deadline=None)
@given(st.lists(st.integers(1, 3000), min_size=1, max_size=5), st.integers(0, 9))
def test_sound_comes_back_as_it_was_whatever_the_pieces(sizes: list[int], look: int) -> None:
    sound = noise(0.5, 3000)
    found = through(Louder(look), sound, sizes)
    assert len(found) == len(sound)
    assert np.abs(found.astype(int) - sound).max() <= 1


def test_what_is_judged_is_what_is_changed() -> None:
    sound = noise(0.5, 1000)
    louder = through(Louder(3, 6.0206), sound, [480])
    assert np.abs(louder.astype(int) - 2 * sound.astype(int)).max() <= 2


def test_it_starts_anew_after_the_end() -> None:
    sound, twice = noise(0.3, 1000), Louder(2)
    through(twice, sound, [500])
    assert np.abs(through(twice, sound, [700]).astype(int) - sound).max() <= 1
