"""The faint noise of a quiet room, put behind sound that was cleaned.

Cleaned sound is dead silent in its pauses, and an engine that has never heard such silence makes
something of it. So pauses get what they have in any quiet room (comfort noise, as telephone
networks put it into pauses: ITU-T G.711 Appendix II, from memory).
"""

from functools import cache

import numpy as np
from numpy.typing import NDArray

from voicelog.audio.base import RATE_HZ, Samples
from voicelog.audio.level import FULL_SCALE, FULL_SCALE_SINE

BELOW_VOICE_DB = 34.0
"""So far below the loudest part of the voice. Of 40 dictations in babble 20 dB below 26
(10 dB: 10) were right without, 30 and 11 with some 44 dB, 28 and 14 with some 34 dB (with an
earlier network, and at a fixed level)."""
_CORNER_HZ = 60.0
"""From here on the noise falls by 6 dB an octave, as that of rooms does (common practice, no
source)."""
_COUNT = 2**18


class QuietRoom:
    """The same noise from its beginning on, so that the same utterance is always heard the same.

    `voice_dbfs` is the level of the loudest part of the voice, in dBFS.
    """

    def __init__(self, voice_dbfs: float) -> None:
        mean_square = FULL_SCALE_SINE * 10 ** ((voice_dbfs - BELOW_VOICE_DB) / 10)
        self._gain = FULL_SCALE * np.sqrt(mean_square)
        self._given = 0

    def behind(self, samples: Samples) -> Samples:
        """The next samples with the noise of the room added."""
        places = np.arange(self._given, self._given + len(samples))
        self._given += len(samples)
        sound = samples + self._gain * np.take(noise(), places, mode="wrap")
        return np.asarray(np.clip(np.rint(sound), -FULL_SCALE, FULL_SCALE - 1), np.int16)


@cache
def noise() -> NDArray[np.float64]:
    """Some seconds of it, with a mean square of 1."""
    white = np.random.default_rng(1).standard_normal(_COUNT)
    falling = np.hypot(_CORNER_HZ, np.fft.rfftfreq(_COUNT, 1 / RATE_HZ))
    found = np.fft.irfft(np.fft.rfft(white) / falling, _COUNT)
    return np.asarray(found / found.std(), np.float64)
