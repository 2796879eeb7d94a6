"""How loud a sound is, and how loud the room is behind it."""

import math
from collections import deque

import numpy as np

from voicelog.audio.base import Samples

FULL_SCALE = 32_768
FULL_SCALE_SINE = 0.5
"""Mean square of a sine that just reaches full scale, the zero of dBFS (AES17, IEC 61606)."""
SILENCE_DBFS = -120.0
"""Reported for sound with no energy at all; 16 bits carry nothing softer than about -90."""

MOST_SPREAD_DB = 8.0


def level_dbfs(samples: Samples) -> float:
    """Root-mean-square level in decibels, 0 being a sine that just reaches full scale.

    No sound, or no samples at all, reads SILENCE_DBFS.
    """
    if not len(samples):
        return SILENCE_DBFS
    mean_square = float(np.mean(np.square(samples, dtype=np.float64))) / FULL_SCALE**2
    if not mean_square:
        return SILENCE_DBFS
    return max(SILENCE_DBFS, 10 * math.log10(mean_square / FULL_SCALE_SINE))


class NoiseFloor:
    """The level that the room falls back to: the softest tenth of the last frames, in dBFS.

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


class RoomSpread:
    """How unsteady a room is while nobody speaks near: how far the middle of the last frames lies
    above their softest tenth, in decibels. Hardly at all in the noise of a machine, some 7 dB where
    other people talk, and never taken for more than `MOST_SPREAD_DB`.
    """

    def __init__(self, frames: int, at_least: int) -> None:
        self._levels: deque[float] = deque(maxlen=frames)
        self._at_least = at_least
        self.db = 0.0

    def update(self, frame_dbfs: float) -> None:
        """Take in the level of one more frame in which nobody speaks near."""
        self._levels.append(frame_dbfs)
        if len(self._levels) >= self._at_least:
            softest, middle = np.quantile(np.fromiter(self._levels, np.float64), (0.1, 0.5))
            self.db = min(MOST_SPREAD_DB, float(middle - softest))
