"""The tones, measured as an ear would: how long, how loud, how high, and whether they click."""

from itertools import combinations
from typing import get_args

import numpy as np
import pytest
from numpy.typing import NDArray

from voicelog.audio.base import RATE_HZ
from voicelog.speech.base import Tone
from voicelog.speech.tones import tone_samples

TONES: tuple[Tone, ...] = get_args(Tone)
SEMITONE = 2 ** (1 / 12)


def loudest_hz(samples: NDArray[np.int16]) -> float:
    window = np.hanning(len(samples))
    spectrum = np.abs(np.fft.rfft(samples * window, 1 << 16))
    return float(np.argmax(spectrum)) * RATE_HZ / (1 << 16)


def first_and_last_hz(tone: Tone) -> tuple[float, float]:
    samples = tone_samples(tone)
    piece = round(0.05 * RATE_HZ)
    return loudest_hz(samples[:piece]), loudest_hz(samples[-piece:])


def notes(tone: Tone) -> int:
    """How many times the sound comes up out of silence."""
    loud = np.abs(tone_samples(tone).astype(float)).reshape(-1, 1).ravel() > 300
    smooth = np.convolve(loud, np.ones(160), "same") > 0
    return int(np.count_nonzero(np.diff(np.concatenate([[False], smooth]).astype(int)) == 1))


@pytest.mark.parametrize("tone", TONES)
def test_it_is_over_in_a_quarter_of_a_second(tone: Tone) -> None:
    assert 0.05 < len(tone_samples(tone)) / RATE_HZ < 0.25


@pytest.mark.parametrize("tone", TONES)
def test_it_is_gentle(tone: Tone) -> None:
    peak_db = 20 * np.log10(np.max(np.abs(tone_samples(tone).astype(int))) / 32_767)
    assert -20 < peak_db < -12


@pytest.mark.parametrize("tone", TONES)
def test_it_does_not_click(tone: Tone) -> None:
    samples = tone_samples(tone)
    assert samples[0] == samples[-1] == 0
    # A click is a burst at all frequencies; pure notes leave the band above 3 kHz empty.
    power = np.abs(np.fft.rfft(samples.astype(float))) ** 2
    above = np.fft.rfftfreq(len(samples), 1 / RATE_HZ) > 3000
    assert 10 * np.log10(power[above].sum() / power.sum()) < -50


def test_any_two_differ_by_their_notes_or_by_two_semitones() -> None:
    def alike(one: Tone, other: Tone) -> bool:
        pairs = zip(first_and_last_hz(one), first_and_last_hz(other), strict=True)
        near = all(max(pair) / min(pair) < SEMITONE**2 for pair in pairs)
        return near and notes(one) == notes(other)

    assert [pair for pair in combinations(TONES, 2) if alike(*pair)] == []


@pytest.mark.parametrize(
    ("tone", "direction"),
    [("ready", 1), ("saved", 1), ("ask", 1), ("trouble", -1), ("paused", -1)],
)
def test_good_news_and_questions_rise_and_trouble_and_pauses_fall(
    tone: Tone, direction: int
) -> None:
    first, last = first_and_last_hz(tone)
    assert direction * np.log(last / first) > 4 * np.log(SEMITONE)


def test_the_notes_can_be_counted() -> None:
    assert {tone: notes(tone) for tone in TONES} == {
        "ready": 2,
        "heard": 1,
        "saved": 3,
        "kept": 2,
        "ask": 1,
        "trouble": 1,
        "paused": 2,
    }
