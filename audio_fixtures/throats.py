"""The same sentence out of another throat: higher or lower, longer or shorter, faster or slower.

Pitch, spectral envelope and breath are taken apart and put together anew by the WORLD vocoder
(Morise, Yokomori and Ozawa 2016, IEICE Transactions on Information and Systems E99-D(7), from
memory). Needs pyworld, which is only there to teach the near voice.
"""

from dataclasses import dataclass
from typing import Self

import numpy as np
import pyworld
from numpy.typing import NDArray

from audio_fixtures.manifest import RATE_HZ
from audio_fixtures.rooms import Sound

LOWEST_HZ, HIGHEST_HZ = 80.0, 270.0
"""Between these lies the middle of the pitch of men and women who speak (from memory)."""
_USUAL_HZ, _OCTAVES = 125.0, 2.6
"""Pitch of the throat of the voice itself, and by how many octaves it rises where formants double:
a woman's lie some sixth higher than a man's, and her pitch three quarters of an octave (from
memory)."""
_STEP_MS = 5.0
Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Throat:
    """How somebody speaks: by how much formants lie higher, the middle of the pitch in hertz, how
    far pitch moves and how much breath there is compared with the voice itself, and how much longer
    it takes."""

    formants: float
    pitch_hz: float
    lively: float = 1.0
    breath: float = 1.0
    slow: float = 1.0

    @classmethod
    def drawn(cls, chance: np.random.Generator) -> Self:
        """Somebody."""
        formants = chance.uniform(0.84, 1.24)
        pitch_hz = _USUAL_HZ * formants**_OCTAVES * 2 ** chance.normal(0, 0.25)
        return cls(
            formants,
            pitch_hz=float(np.clip(pitch_hz, LOWEST_HZ, HIGHEST_HZ)),
            lively=chance.uniform(0.6, 1.7),
            breath=chance.uniform(0.75, 2),
            slow=chance.uniform(0.8, 1.25),
        )

    def says(self, sound: Sound) -> Sound:
        """The sentence as this throat says it, 16 kHz; what has no pitch comes back as it is."""
        wave = sound.astype(np.float64)
        rough, times = pyworld.dio(wave, RATE_HZ, f0_floor=60.0, frame_period=_STEP_MS)
        pitch = pyworld.stonemask(wave, rough, times, RATE_HZ)
        voiced = pitch > 0
        if not voiced.any():
            return sound
        envelope = _raised(pyworld.cheaptrick(wave, pitch, times, RATE_HZ), self.formants)
        noisy = _raised(pyworld.d4c(wave, pitch, times, RATE_HZ), self.formants)
        middle_hz = np.exp(np.log(pitch[voiced]).mean())
        pitch[voiced] = self.pitch_hz * (pitch[voiced] / middle_hz) ** self.lively
        noisy = np.clip(noisy ** (1 / self.breath), 0, 1)
        step_ms = _STEP_MS * self.slow
        spoken = pyworld.synthesize(pitch, envelope, noisy, RATE_HZ, step_ms)
        return np.asarray(spoken, np.float32)


def _raised(spectra: Floats, by: float) -> Floats:
    """Each spectrum stretched along its lines; (windows, lines)."""
    lines = np.arange(spectra.shape[1])
    logs = np.log(np.maximum(spectra, 1e-16))
    return np.exp([np.interp(lines / by, lines, log) for log in logs])
