"""The short tones that say what words would take too long to say.

Each is a tune of its own, so that they can be told apart without knowing pitch: rising is good
news, falling is bad, the same note twice means put aside, a glide upward is a question.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from voicelog.audio.base import RATE_HZ, Samples
from voicelog.speech.base import Tone

PEAK = 0.2 * 32_767
FADE_S = 0.012
GAP_S = 0.03


@dataclass(frozen=True, slots=True)
class Note:
    """A pitch, or a glide from one to another, in hertz, for so many seconds."""

    from_hz: float
    to_hz: float
    for_s: float


def _steady(hz: float, for_s: float) -> Note:
    return Note(hz, hz, for_s)


TUNES: dict[Tone, tuple[Note, ...]] = {
    "ready": (_steady(440, 0.09), _steady(660, 0.11)),
    "heard": (_steady(880, 0.07),),
    "saved": (_steady(523, 0.055), _steady(659, 0.055), _steady(784, 0.07)),
    "kept": (_steady(494, 0.08), _steady(494, 0.08)),
    "ask": (Note(500, 900, 0.2),),
    "trouble": (Note(460, 310, 0.23),),
    "paused": (_steady(660, 0.09), _steady(440, 0.11)),
}


def tone_samples(tone: Tone) -> Samples:
    """The tone as mono sound at RATE_HZ: under a quarter of a second, peak 14 dB below full."""
    gap = np.zeros(round(GAP_S * RATE_HZ))
    parts: list[NDArray[np.float64]] = []
    for note in TUNES[tone]:
        parts += [gap, _note(note)]
    return np.rint(np.concatenate(parts[1:]) * PEAK).astype(np.int16)


def _note(note: Note) -> NDArray[np.float64]:
    count = round(note.for_s * RATE_HZ)
    pitch_hz = np.linspace(note.from_hz, note.to_hz, count)
    phase = 2 * np.pi * np.cumsum(pitch_hz) / RATE_HZ
    return np.sin(phase) * _envelope(count)


def _envelope(count: int) -> NDArray[np.float64]:
    # Raised-cosine ends: a sine cut off in mid-swing is heard as a click.
    ramp = 0.5 - 0.5 * np.cos(np.linspace(0, np.pi, round(FADE_S * RATE_HZ)))
    envelope = np.ones(count)
    envelope[: len(ramp)] = ramp
    envelope[-len(ramp) :] = ramp[::-1]
    return envelope
