"""Which number from nought to ten an utterance ended with, heard as a whole word.

The engine hears a number as a row of phones, and with people over a telephone misses a third of
them. This hears the word as one shape: what a network that knows speech makes of the last second
(`speech_embedding`) goes through two small layers, taught on synthetic voices and on people of
`tune` by `audio_fixtures/teach_numbers.py`. It knows English numbers alone.
"""

from dataclasses import dataclass, replace
from functools import cache
from pathlib import Path

import numpy as np

from voicelog.audio.base import RATE_HZ, Samples
from voicelog.grammar.hypothesis import HeardWord, Reading
from voicelog.recognisers.speech_embedding import HOP, WINDOW, Floats, embedding

WORDS = (*("zero", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten"),)
BEFORE_S, AFTER_S = 1.0, 0.3
"""What it hears begins and ends so long before and after the word ends."""
_SHARPER = 1.2
"""The network is taught never to be quite sure. Of numbers of `tune`, heard by networks taught
without their speaker, the probabilities fit best with scores so many times as large: 1.13 for
people, 1.32 for all (least log-loss)."""
_WEIGHTS = Path(__file__).with_suffix(".npz")


@dataclass(frozen=True, slots=True)
class LastNumber:
    """`log_probabilities`: of each of `WORDS`, if it was one of them. `lead`: by how many nats the
    likeliest of them is likelier than that it was anything else."""

    log_probabilities: tuple[float, ...]
    lead: float

    def readings(self, heard: tuple[HeardWord, ...]) -> tuple[Reading, ...]:
        """What was heard with each number as its last word, likeliest first. How sure that is lies
        in the weights alone: how far a number falls short of its phones says nothing more."""
        best = max(self.log_probabilities)
        found = [
            Reading((*heard[:-1], replace(heard[-1], text=word, confidence=1.0)), weight - best)
            for word, weight in zip(WORDS, self.log_probabilities, strict=True)
        ]
        return tuple(sorted(found, key=lambda reading: -reading.log_weight))


class Network:
    """The two layers. `weights` are named as `audio_fixtures/teach_numbers.py` names them."""

    def __init__(self, weights: dict[str, Floats]) -> None:
        self._in, self._in_bias = weights["into.weight"], weights["into.bias"]
        self._out, self._out_bias = weights["out.weight"], weights["out.bias"]

    def scores(self, rows: Floats) -> Floats:
        """(len(WORDS) + 1,): the score of each number, and of anything else, in nats.

        A number counts wherever in the rows, (rows, SIZE), it was heard best; anything else by all
        of them alike.
        """
        joined = np.concatenate([rows[:-2], rows[1:-1], rows[2:]], axis=1)
        heard = np.maximum(joined @ self._in + self._in_bias, 0) @ self._out + self._out_bias
        return np.append(np.logaddexp.reduce(heard[:, :-1]), heard[:, -1].mean())


def last_number(samples: Samples, end_ms: int) -> LastNumber:
    """What was said last in a sound of 16 kHz, as a word that ends at `end_ms`."""
    found = _network().scores(embedding(ending(samples, end_ms)))
    numbers, other = found[:-1], found[-1]
    sharper = _SHARPER * numbers
    return LastNumber(
        tuple((sharper - np.logaddexp.reduce(sharper)).tolist()), float(numbers.max() - other)
    )


def ending(samples: Samples, end_ms: int) -> Samples:
    """The piece of sound that is heard, always as long; silence where there is none."""
    end = end_ms * RATE_HZ // 1000
    first, last = end - round(BEFORE_S * RATE_HZ), end + round(AFTER_S * RATE_HZ) + WINDOW - HOP
    inside = samples[max(0, first) : max(0, last)]
    before = max(0, -first)
    return np.pad(inside, (before, last - first - before - len(inside)))


@cache
def _network() -> Network:
    with np.load(_WEIGHTS) as file:
        return Network({name: file[name].astype(np.float32) for name in file.files})
