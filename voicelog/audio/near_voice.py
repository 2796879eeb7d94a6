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

from voicelog.audio.bands import HOP, BandFilter, Floats, Spectra, filters
from voicelog.audio.base import Samples
from voicelog.audio.highs import HighsOfStream

LOOK = 8
"""A window is judged when so many more have come."""
MOST_DB = 40.0
"""The most that the network turns a band down."""
FURTHER = 1.25
"""Bands are turned down so many times further than the network says, in dB: the engine is misled
less by what is missing than by what is left over (oversubtraction: Berouti, Schwartz and Makhoul
1979, from memory). Of 60 dictations of `tune` in babble 10 dB below 42 were right and 7 wrong with
1, 48 and 5 with 1.25, 48 and 5 with 1.5; in echo and babble 20 dB below 49 and 4, 50 and 3, 49 and
3. The network knows those voices; more than it takes harms one that it does not know."""
_WEIGHTS = Path(__file__).with_suffix(".npz")


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


class NearVoice(BandFilter):
    """Follows a stream of sound and turns down what is not the near voice. It never forgets what
    the room is like. Highs that a microphone leaves out are put back first, as the network never
    heard a voice without."""

    def __init__(self) -> None:
        self._highs = HighsOfStream()
        super().__init__(LOOK)
        self.late += self._highs.late + HOP
        self._network = Network(dict(_weights()))

    def reset(self) -> None:
        """Forget the sound in hand, but not what the room is like."""
        self._highs.reset()
        super().reset()

    def feed(self, samples: Samples) -> Samples:
        """Takes in more sound, of any length, and gives back what is settled by it."""
        return super().feed(self._highs.feed(samples))

    def flush(self) -> Samples:
        """The rest, as the sound is over."""
        rest = super().feed(self._highs.flush())
        return np.concatenate([rest, super().flush()])

    def judge(self, levels: Floats) -> Floats:
        """By how much to turn each band down, in dB."""
        return self._network.gains_db(levels)

    def change(self, spectra: Spectra, judged: Floats) -> Spectra:
        """Turned down."""
        return spectra * 10 ** (FURTHER * judged @ filters() / 20)


@cache
def _weights() -> tuple[tuple[str, Floats], ...]:
    with np.load(_WEIGHTS) as file:
        return tuple((name, file[name].astype(np.float32)) for name in file.files)


def _sigmoid(x: Floats) -> Floats:
    return np.asarray(1 / (1 + np.exp(-x)), np.float32)
