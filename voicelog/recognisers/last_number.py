"""Which number from nought to ten an utterance ended with, heard as a whole word.

The engine hears a number as a row of phones, and with people over a telephone misses a third of
them. This hears the word as one shape: what a network that knows speech makes of the last second
(`speech_embedding`) goes through two small layers, taught on synthetic voices and on people of
`tune` by `audio_fixtures/teach_numbers.py`. It knows English numbers alone.
"""

import math
from dataclasses import dataclass, replace
from functools import cache
from pathlib import Path

import numpy as np

from voicelog.audio.base import RATE_HZ, Samples
from voicelog.grammar.hypothesis import HeardWord, Reading, in_order
from voicelog.recognisers.speech_embedding import HOP, WINDOW, Floats, embedding

WORDS = ("zero", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten")
BEFORE_S, AFTER_S = 1.0, 0.3
"""What it hears begins and ends so long before and after the word ends."""
_SAME_MS = 50
"""Words that end so close together are the same: while she may still go on, the last seems to end
20 to 40 ms sooner."""
_SHARPER = 1.2
"""The network is taught never to be quite sure. Of numbers of `tune`, heard by networks taught
without their speaker, the probabilities fit best with scores so many times as large: 1.13 for
people, 1.32 for all (least log-loss)."""
_DOUBT = 0.1
"""What a number that the engine leaves out in a longer sentence is given, as a probability: on
people's numbers its own scores hardly tell. Of 72 dictations of `tune` that end in a number, clean
and with echo and babble, none comes out otherwise or is asked back with up to 0.2."""
_LEAST = -7.0
"""One in a thousand, as a logarithm: a number so unlikely is only offered if the engine heard it
too."""
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
        found = [
            Reading((*heard[:-1], replace(heard[-1], text=word, confidence=1.0)), weight)
            for word, weight in zip(WORDS, self.log_probabilities, strict=True)
        ]
        return tuple(reading for reading in in_order(found) if reading.log_weight > _LEAST)

    def among(self, readings: tuple[Reading, ...]) -> tuple[Reading, ...]:
        """Readings of a longer sentence, weighed by their last word too, and those with any other
        number there."""
        total = np.logaddexp.reduce([reading.log_weight for reading in readings])
        best, found = readings[0], []
        for word in dict.fromkeys((*WORDS, *(reading.words[-1].text for reading in readings))):
            such = [reading for reading in readings if reading.words[-1].text == word]
            engine = np.logaddexp.reduce([reading.log_weight - total for reading in such])
            weight = float(np.logaddexp(engine, math.log(_DOUBT))) + self._log_probability(word)
            if not such:
                words = (*best.words[:-1], replace(best.words[-1], text=word))
                found.append(Reading(words, weight))
            for reading in such:
                share = float(reading.log_weight - total - engine)
                found.append(Reading(reading.words, weight + share))
        engines = {reading.words for reading in readings}
        return tuple(r for r in in_order(found) if r.words in engines or r.log_weight > _LEAST)

    def _log_probability(self, word: str) -> float:
        if word in WORDS:
            return self.log_probabilities[WORDS.index(word)]
        return max(self.log_probabilities) - self.lead


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


class LastNumbers:
    """Those of one utterance; the sound of each is gone through once, however often it is asked."""

    def __init__(self) -> None:
        self._found: dict[int, LastNumber] = {}

    def of(self, heard: tuple[HeardWord, ...], samples: Samples) -> LastNumber | None:
        """What the last word was as a whole, where it was heard as a number."""
        if heard[-1].text not in WORDS:
            return None
        end_ms = heard[-1].end_ms
        for known_ms, number in self._found.items():
            if abs(known_ms - end_ms) <= _SAME_MS:
                return number
        self._found[end_ms] = last_number(samples, end_ms)
        return self._found[end_ms]


def last_number(samples: Samples, end_ms: int) -> LastNumber:
    """What was said last in a sound of 16 kHz, as a word that ends at `end_ms` (milliseconds)."""
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
