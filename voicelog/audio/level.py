"""How loud a sound is, and how loud the room is behind it."""

import math
from collections import deque
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from voicelog.audio.base import Samples

FULL_SCALE = 32_768
FULL_SCALE_SINE = 0.5
"""Mean square of a sine that just reaches full scale, the zero of dBFS (AES17, IEC 61606)."""
SILENCE_DBFS = -120.0
"""Reported for sound with no energy at all; 16 bits carry nothing softer than about -90."""

_APART = 3
"""Frames that lie between the last ones and those they are compared with, as a voice needs some to
rise."""


def level_dbfs(samples: Samples) -> float:
    """Root-mean-square level in decibels, 0 being a sine that just reaches full scale.

    A constant offset, as cheap sound cards add one, is no sound. No sound, or no samples at all,
    reads SILENCE_DBFS.
    """
    if not len(samples):
        return SILENCE_DBFS
    mean_square = float(np.var(samples, dtype=np.float64)) / FULL_SCALE**2
    if not mean_square:
        return SILENCE_DBFS
    return max(SILENCE_DBFS, 10 * math.log10(mean_square / FULL_SCALE_SINE))


def step_powers(samples: Samples, step: int) -> NDArray[np.float64]:
    """The mean square of each whole `step` of samples without its constant offset, in squared
    steps of 16 bits."""
    count = len(samples) // step
    steps = samples[: count * step].reshape(count, step)
    return np.asarray(np.var(steps, axis=1, dtype=np.float64), np.float64)


def frames_of_voice(levels_dbfs: Sequence[float], start: int, falls_db: float, silence: int) -> int:
    """How many of the last frames a voice has spoken in, of which the last `start` are known.

    Goes back from there until `silence` frames in a row are softer by more than `falls_db` than the
    loudest of those.
    """
    needed_dbfs = max(levels_dbfs[-start:]) - falls_db
    voice = start
    for back, dbfs in enumerate(reversed(levels_dbfs), start=1):
        if dbfs > needed_dbfs:
            voice = max(voice, back)
        elif back >= voice + silence:
            break
    return voice


class NoiseFloor:
    """The level that the room falls back to: the softest tenth of the last frames (or another
    `share` of them), in dBFS.

    Follows the minimum-statistics idea (R. Martin, IEEE Transactions on Speech and Audio
    Processing 9(5), 2001): even in running speech the pauses between words show the room. Until
    it has heard `at_least` frames it knows nothing and answers SILENCE_DBFS.
    """

    def __init__(self, frames: int, at_least: int, share: float = 0.1) -> None:
        self._levels: deque[float] = deque(maxlen=frames)
        self._at_least = at_least
        self._share = share

    def update(self, frame_dbfs: float) -> float:
        """Take in the level of one more frame and return the floor."""
        self._levels.append(frame_dbfs)
        if len(self._levels) < self._at_least:
            return SILENCE_DBFS
        rank = int(self._share * (len(self._levels) - 1))
        return float(np.partition(np.fromiter(self._levels, np.float64), rank)[rank])


class VoiceLevel:
    """How loud the voice of an utterance is: the level of `frames` in a row, in dBFS."""

    def __init__(self, frames: int) -> None:
        self._powers: deque[float] = deque(maxlen=frames)
        self._recent: deque[float] = deque(maxlen=frames + _APART)
        self._loudest_before: float | None = None
        self.loudest_dbfs = SILENCE_DBFS
        """The loudest so far."""

    @property
    def rose_by_db(self) -> float:
        """By how much the last frames are louder than all that came some time before them, in
        decibels; 0 while nothing came before."""
        if self._loudest_before is None:
            return 0.0
        return max(0.0, self._recent[-1] - self._loudest_before)

    def update(self, frame_dbfs: float) -> None:
        """Take in the level of one more frame."""
        self._powers.append(10 ** (frame_dbfs / 10))
        if len(self._powers) < (self._powers.maxlen or 0):
            return
        if len(self._recent) == self._recent.maxlen:
            before = self._loudest_before
            oldest = self._recent[0]
            self._loudest_before = oldest if before is None else max(before, oldest)
        self._recent.append(10 * math.log10(sum(self._powers) / len(self._powers)))
        self.loudest_dbfs = max(self.loudest_dbfs, self._recent[-1])
