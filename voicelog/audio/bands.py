"""Sound in 32 bands, window by window, and filters that change them while it streams.

Windows of 20 ms overlap by half and are added up again (short-time Fourier analysis and synthesis:
Allen and Rabiner 1977, Proceedings of the IEEE 65(11), from memory).
"""

from abc import ABC, abstractmethod
from functools import cache

import numpy as np
from numpy.typing import NDArray

from voicelog.audio.base import RATE_HZ, Samples
from voicelog.audio.level import FULL_SCALE

HOP, WINDOW, FFT = RATE_HZ // 100, RATE_HZ // 50, 512
"""Windows of 20 ms, every 10 ms."""
BANDS = 32
LOWEST_HZ, HIGHEST_HZ = 60.0, 7600.0
"""Middle of the first and of the last band; they lie evenly on the mel scale."""
_LEAST = 1e-7
Floats = NDArray[np.float32]
Spectra = NDArray[np.complex64]
"""One row of FFT / 2 + 1 lines for each window."""


def window() -> Floats:
    """Square root of a Hann window: used before and after, it adds up to one."""
    return np.asarray(np.sqrt(np.hanning(WINDOW + 1)[:-1]), np.float32)


@cache
def middles_hz() -> NDArray[np.float64]:
    """The middle of each band, in Hz."""
    return _hertz(np.linspace(_mel(LOWEST_HZ), _mel(HIGHEST_HZ), BANDS))


@cache
def filters() -> Floats:
    """How much of each line of the spectrum belongs to each band; (BANDS, FFT / 2 + 1), each
    column adding up to one."""
    lines = np.arange(FFT // 2 + 1) * RATE_HZ / FFT
    bands = [np.interp(lines, middles_hz(), np.eye(BANDS)[band]) for band in range(BANDS)]
    return np.asarray(bands, np.float32)


def spectra_of(sound: Floats) -> Spectra:
    """The spectra of all whole windows in the sound, of which the first starts with it."""
    count = max(0, (len(sound) - WINDOW) // HOP + 1)
    places = np.arange(WINDOW) + HOP * np.arange(count)[:, None]
    return np.fft.rfft(sound[places] * window(), FFT, axis=1).astype(np.complex64)


def levels_db(spectra: Spectra) -> Floats:
    """The power in each band, in dB; (windows, BANDS) of (windows, FFT / 2 + 1)."""
    return np.asarray(10 * np.log10(np.abs(spectra) ** 2 @ filters().T + _LEAST), np.float32)


class BandFilter(ABC):
    """Follows a stream of sound and changes it window by window.

    A window is judged when `look` more have come. Gives back every sample, at most `late` and a
    window of 10 ms more late.
    """

    def __init__(self, look: int) -> None:
        self._look = look
        self.late = (look + 1) * HOP
        """The sound comes out this many samples late."""
        self._window = window()
        self.reset()

    @abstractmethod
    def judge(self, levels: Floats) -> Floats:
        """What is to be done with each window, `look` windows late: a row for each of these rows,
        (windows, BANDS), of which the very first `look` are thrown away."""

    @abstractmethod
    def change(self, spectra: Spectra, judged: Floats) -> Spectra:
        """The windows as they are to sound."""

    def reset(self) -> None:
        """Forget the sound in hand, but not what was learnt of it."""
        # Silence of one step in front, so that each sample lies in two windows.
        self._sound = np.zeros(HOP, np.float32)
        self._spectra: Spectra = np.zeros((0, FFT // 2 + 1), np.complex64)
        self._tail = np.zeros(HOP, np.float32)
        self._unknown = self._look
        self._in_front = HOP
        self._owed = 0

    def feed(self, samples: Samples) -> Samples:
        """Takes in more sound, of any length, and gives back what is settled by it."""
        self._owed += len(samples)
        return self._take(np.asarray(samples / FULL_SCALE, np.float32))

    def flush(self) -> Samples:
        """The rest, as the sound is over."""
        owed = self._owed
        rest = self._take(np.zeros(self.late + 2 * HOP, np.float32))[:owed]
        self.reset()
        return rest

    def _take(self, more: Floats) -> Samples:
        sound = np.concatenate([self._sound, more])
        spectra = spectra_of(sound)
        self._sound = sound[len(spectra) * HOP :]
        if not len(spectra):
            return np.zeros(0, np.int16)
        judged = self.judge(levels_db(spectra))
        skipped = min(self._unknown, len(spectra))
        self._unknown -= skipped
        self._spectra = np.concatenate([self._spectra, spectra])
        return self._given_back(judged[skipped:])

    def _given_back(self, judged: Floats) -> Samples:
        """The sound of the oldest windows, each as it was judged."""
        ready, self._spectra = self._spectra[: len(judged)], self._spectra[len(judged) :]
        changed = self.change(ready, judged)
        pieces = np.fft.irfft(changed, FFT, axis=1)[:, :WINDOW] * self._window
        before = np.concatenate([self._tail[None], pieces[:, HOP:]])
        self._tail = before[-1]
        sound = (pieces[:, :HOP] + before[:-1]).reshape(-1)[self._in_front :]
        if len(judged):
            self._in_front = 0
        self._owed -= len(sound)
        whole = np.rint(sound * FULL_SCALE)
        return np.asarray(np.clip(whole, -FULL_SCALE, FULL_SCALE - 1), np.int16)


def _mel(hertz: float) -> float:
    return float(2595 * np.log10(1 + hertz / 700))


def _hertz(mel: NDArray[np.float64]) -> NDArray[np.float64]:
    return 700 * (10 ** (mel / 2595) - 1)
