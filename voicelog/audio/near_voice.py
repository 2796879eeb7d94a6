"""Keeps the voice near the microphone, and turns down the room behind it, band by band.

A small recurrent network hears how loud each of 32 bands is, every 10 ms, and says how much of it
belongs to the near voice (masks for speech enhancement: Wang and Chen 2018, IEEE/ACM Transactions
on Audio, Speech and Language Processing 26(10); gated recurrent units: Cho and others 2014, arXiv
1406.1078; both from memory). Other people further away are part of the room, so a filter that
follows the noise would not do: they are as unsteady as she is. The weights beside this file were
made by `audio_fixtures/teach_near_voice.py`, from synthetic voices and recordings of the part for
tuning.
"""

from functools import cache
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from voicelog.audio.base import RATE_HZ, Samples
from voicelog.audio.level import FULL_SCALE

HOP, WINDOW, FFT = RATE_HZ // 100, RATE_HZ // 50, 512
"""Windows of 20 ms, every 10 ms."""
BANDS = 32
LOWEST_HZ, HIGHEST_HZ = 60.0, 7600.0
"""Middle of the first and of the last band; they lie evenly on the mel scale."""
LOOK = 8
"""A window is judged when so many more have come."""
LATE = (LOOK + 1) * HOP
"""The sound comes out this many samples late, and up to a window of 10 ms more."""
MOST_DB = 40.0
"""The most that the network turns a band down."""
FURTHER = 1.25
"""Bands are turned down so many times further than the network says, in dB: the engine is misled
less by what is missing than by what is left over (oversubtraction: Berouti, Schwartz and Makhoul
1979, from memory). Of 60 dictations of `tune` in babble 10 dB below 42 were right and 7 wrong with
1, 48 and 5 with 1.25, 48 and 5 with 1.5; in echo and babble 20 dB below 49 and 4, 50 and 3, 49 and
3. The network knows those voices; more than it takes harms one that it does not know."""
_LEAST = 1e-7
_WEIGHTS = Path(__file__).with_suffix(".npz")
Floats = NDArray[np.float32]


def window() -> Floats:
    """Square root of a Hann window: used before and after, it adds up to one."""
    return np.asarray(np.sqrt(np.hanning(WINDOW + 1)[:-1]), np.float32)


@cache
def filters() -> Floats:
    """How much of each line of the spectrum belongs to each band; (BANDS, FFT / 2 + 1), each
    column adding up to one."""
    middles = _hertz(np.linspace(_mel(LOWEST_HZ), _mel(HIGHEST_HZ), BANDS))
    lines = np.arange(FFT // 2 + 1) * RATE_HZ / FFT
    bands = [np.interp(lines, middles, np.eye(BANDS)[band]) for band in range(BANDS)]
    return np.asarray(bands, np.float32)


def levels_db(spectra: NDArray[np.complex64]) -> Floats:
    """The power in each band, in dB; (windows, BANDS) of (windows, FFT / 2 + 1)."""
    return np.asarray(10 * np.log10(np.abs(spectra) ** 2 @ filters().T + _LEAST), np.float32)


class Network:
    """Two layers of gated recurrent units that remember what they heard.

    `weights` are named as `audio_fixtures/teach_near_voice.py` names them.
    """

    def __init__(self, weights: dict[str, Floats]) -> None:
        self._in, self._in_bias = weights["into.weight"].T, weights["into.bias"]
        self._layers = [_Layer(weights, number) for number in range(2)]
        self._out, self._out_bias = weights["out.weight"].T, weights["out.bias"]
        self._before: Floats | None = None

    def gains_db(self, levels: Floats) -> Floats:
        """By how much to turn each band down, 0 to -MOST_DB, `LOOK` windows late; (windows, BANDS)
        of the same."""
        first = levels[:1] if self._before is None else self._before
        self._before = levels[-1:]
        change = np.diff(levels, axis=0, prepend=first)
        heard = np.concatenate([(levels + 45) / 20, change / 10], axis=1)
        found = np.tanh(heard @ self._in + self._in_bias)
        for layer in self._layers:
            found = layer.follow(found)
        return -MOST_DB * _sigmoid(-(found @ self._out + self._out_bias))


class _Layer:
    """One layer, with the equations and the order of the gates that torch documents for its GRU."""

    def __init__(self, weights: dict[str, Floats], number: int) -> None:
        self._of_input = weights[f"units.weight_ih_l{number}"].T
        self._input_bias = weights[f"units.bias_ih_l{number}"]
        self._of_state = np.ascontiguousarray(weights[f"units.weight_hh_l{number}"])
        self._state_bias = weights[f"units.bias_hh_l{number}"]
        self._size = len(self._state_bias) // 3
        self._state = np.zeros(self._size, np.float32)

    def follow(self, heard: Floats) -> Floats:
        """The state after each window."""
        size, found = self._size, np.empty((len(heard), self._size), np.float32)
        for number, new in enumerate(heard @ self._of_input + self._input_bias):
            old = self._of_state @ self._state + self._state_bias
            gates = _sigmoid(new[: 2 * size] + old[: 2 * size])
            fresh = np.tanh(new[2 * size :] + gates[:size] * old[2 * size :])
            self._state = fresh + gates[size:] * (self._state - fresh)
            found[number] = self._state
        return found


class NearVoice:
    """Follows a stream of sound. Gives back every sample, at most `LATE` + `HOP` late."""

    def __init__(self) -> None:
        self._network = Network(dict(_weights()))
        self._window = window()
        self.reset()

    def reset(self) -> None:
        """Forget the sound in hand, but not what the room is like."""
        # Silence of one step in front, so that each sample lies in two windows.
        self._sound = np.zeros(HOP, np.float32)
        self._spectra = np.zeros((0, FFT // 2 + 1), np.complex64)
        self._tail = np.zeros(HOP, np.float32)
        self._unknown = LOOK
        self._in_front = HOP
        self._owed = 0

    def feed(self, samples: Samples) -> Samples:
        """Takes in more sound, of any length, and gives back what is settled by it."""
        self._owed += len(samples)
        return self._take(np.asarray(samples / FULL_SCALE, np.float32))

    def flush(self) -> Samples:
        """The rest, as the sound is over."""
        owed = self._owed
        rest = self._take(np.zeros(LATE + 2 * HOP, np.float32))[:owed]
        self.reset()
        return rest

    def _take(self, more: Floats) -> Samples:
        sound = np.concatenate([self._sound, more])
        count = (len(sound) - WINDOW) // HOP + 1
        self._sound = sound[max(0, count) * HOP :]
        if count <= 0:
            return np.zeros(0, np.int16)
        places = np.arange(WINDOW) + HOP * np.arange(count)[:, None]
        spectra = np.fft.rfft(sound[places] * self._window, FFT, axis=1).astype(np.complex64)
        gains = self._network.gains_db(levels_db(spectra))
        skipped = min(self._unknown, count)
        self._unknown -= skipped
        self._spectra = np.concatenate([self._spectra, spectra])
        return self._given_back(gains[skipped:])

    def _given_back(self, gains: Floats) -> Samples:
        """The sound of the oldest windows, each with its gains."""
        ready, self._spectra = self._spectra[: len(gains)], self._spectra[len(gains) :]
        masked = ready * 10 ** (FURTHER * gains @ filters() / 20)
        pieces = np.fft.irfft(masked, FFT, axis=1)[:, :WINDOW] * self._window
        before = np.concatenate([self._tail[None], pieces[:, HOP:]])
        self._tail = before[-1]
        sound = (pieces[:, :HOP] + before[:-1]).reshape(-1)[self._in_front :]
        if len(gains):
            self._in_front = 0
        self._owed -= len(sound)
        return np.asarray(
            np.clip(np.rint(sound * FULL_SCALE), -FULL_SCALE, FULL_SCALE - 1), np.int16
        )


@cache
def _weights() -> tuple[tuple[str, Floats], ...]:
    with np.load(_WEIGHTS) as file:
        return tuple((name, file[name].astype(np.float32)) for name in file.files)


def _sigmoid(x: Floats) -> Floats:
    return np.asarray(1 / (1 + np.exp(-x)), np.float32)


def _mel(hertz: float) -> float:
    return float(2595 * np.log10(1 + hertz / 700))


def _hertz(mel: NDArray[np.float64]) -> NDArray[np.float64]:
    return 700 * (10 ** (mel / 2595) - 1)
