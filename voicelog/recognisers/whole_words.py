"""Which words were said, heard as whole words: beside the engine's phones, a second opinion.

The engine hears a word as a row of phones, so other voices and an echo, which blur the phones,
mislead it. Here each word is one shape: what a network that knows speech makes of the sound
(`speech_embedding`) goes through three layers that say, every 80 ms, which word is spoken there, or
none. `audio_fixtures/teach_words.py` taught them with synthetic voices and people of `tune`, mostly
with others talking, by connectionist temporal classification (Graves and others 2006, from memory).
They know the words of the English pack alone; every other word is one of a kind, `OTHER`. They know
too little of sound that others were taken out of: where the room is loud the engine judges alone.
"""

from dataclasses import dataclass, field, replace
from functools import cache
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from voicelog.audio.base import RATE_HZ, Samples
from voicelog.grammar.hypothesis import Reading, in_order
from voicelog.grammar.neighbours import Neighbour
from voicelog.recognisers.speech_embedding import Floats, embedding
from voicelog.recognisers.word_paths import NONE, WordPaths

OTHER = "<other>"
"""Any word that it does not know."""
AROUND_S = 0.45
"""So much silence is put before and behind, as a row is of three quarters of a second."""
NONE_LESS = 3.0
"""Nats that no word is less likely than the layers say: where they are not sure they leave words
out. Of 48 dictations of `tune` by two voices that they had not met, in a quiet room, those taught
before today's heard 35 right by themselves with 0, 40 with 3."""
SHARE = 0.3
"""How much its nats count beside the engine's. Of 133 dictations by voices that it had not met (two
of `tune`, two natural ones) 108 were right at once with 0.2 to 0.5, before 100, and 2 wrong with
0.3, before 3; of the natural 33 alone 22 right and none wrong, before 24 and 1."""
MISTAKEN = 0.03
"""How often it has not heard what was said at all: what the engine is sure of does not give way to
it then, but is asked back at most. 0.01 to 0.1 made no difference on those dictations."""
_WEIGHTS = Path(__file__).with_suffix(".npz")
Words = tuple[str, ...]


class Network:
    """The three layers. `weights` are named as `audio_fixtures/teach_words.py` names them."""

    def __init__(self, weights: dict[str, Floats]) -> None:
        self._weights = weights

    def scores(self, rows: Floats) -> Floats:
        """(rows, words): the logarithm of how probable each word is in each row, `NONE` first, of
        (rows, SIZE) figures."""
        weights = self._weights
        level = (rows - weights["mean"]) / weights["deviation"]
        first = np.maximum(self._beside(level, "first"), 0)
        second = first + np.maximum(self._beside(first, "second"), 0)
        found = second @ weights["out.weight"] + weights["out.bias"]
        found[:, NONE] -= NONE_LESS
        return np.asarray(found - np.logaddexp.reduce(found, axis=1)[:, np.newaxis], np.float32)

    def _beside(self, rows: Floats, layer: str) -> Floats:
        """What a layer makes of each row and those on both sides of it."""
        around = np.pad(rows, ((1, 1), (0, 0)))
        joined = np.concatenate([around[:-2], around[1:-1], around[2:]], axis=1)
        return joined @ self._weights[f"{layer}.weight"] + self._weights[f"{layer}.bias"]


@dataclass(frozen=True, slots=True, eq=False)
class WholeWords:
    """One utterance, heard as whole words: `scores` as `Network.scores` gives them."""

    scores: Floats
    _known: dict[Words, float] = field(default_factory=dict, repr=False)

    def best(self, paths: WordPaths) -> Words:
        """The likeliest words that may be said; none where nothing fits."""
        return tuple(_names()[place] for place in paths.best(self.scores))

    def log_likelihood(self, words: Words) -> float:
        """How likely these words are, and no others, in nats."""
        if words not in self._known:
            self._known[words] = self._log_likelihood(words)
        return self._known[words]

    def _log_likelihood(self, words: Words) -> float:
        places = [NONE]
        for word in words:
            places += [known_words().get(word, known_words()[OTHER]), NONE]
        skips = np.zeros(len(places), np.bool_)
        skips[3::2] = np.diff(places[1::2]) != 0  # from word to word, unless it is the same again
        ways = np.full(len(places), -np.inf)
        ways[:1] = 0.0
        for row in self.scores[:, places].astype(np.float64):
            on = np.logaddexp(ways, np.append(-np.inf, ways[:-1]))
            past = np.append([-np.inf, -np.inf], ways[:-2])[: len(ways)]
            ways = np.where(skips, np.logaddexp(on, past), on) + row
        return float(np.logaddexp.reduce(ways[-2:]))

    def among(self, readings: tuple[Reading, ...]) -> tuple[Reading, ...]:
        """Readings weighed by their words as a whole, too; likeliest first."""
        engine = log_shares(np.array([reading.log_weight for reading in readings]))
        whole = SHARE * np.array([self.log_likelihood(_texts(reading)) for reading in readings])
        if not np.isfinite(whole).any():
            return readings
        trusted = log_shares(whole) + np.log1p(-MISTAKEN)
        weights = engine + np.logaddexp(trusted, np.log(MISTAKEN / len(readings)))
        return in_order(
            replace(reading, log_weight=weight)
            for reading, weight in zip(readings, weights.tolist(), strict=True)
        )


def whole_words(samples: Samples) -> WholeWords:
    """What is heard in a sound of 16 kHz."""
    around = round(AROUND_S * RATE_HZ)
    return WholeWords(_network().scores(embedding(np.pad(samples, around))))


def beside(heard: Words, other: Words) -> Neighbour | None:
    """Other words as a neighbour of those that were heard: what differs, from the first word that
    is not the same to the last, with one that is where nothing else would be left; None where
    nothing differs, or one of them has no words."""
    if heard == other or not heard or not other:
        return None
    start, end = 0, 0
    shorter = min(len(heard), len(other))
    while start < shorter and heard[start] == other[start]:
        start += 1
    while end < shorter - start and heard[-1 - end] == other[-1 - end]:
        end += 1
    if start + end == len(heard):
        start, end = (start - 1, end) if start else (start, end - 1)
    return Neighbour(start, len(heard) - end, other[start : len(other) - end], 0.0)


@cache
def known_words() -> dict[str, int]:
    """The place of each word that it knows, in a row of scores."""
    return {name: place for place, name in enumerate(_names())}


@cache
def _names() -> Words:
    with np.load(_WEIGHTS) as file:
        return tuple(file["words"].tolist())


@cache
def _network() -> Network:
    with np.load(_WEIGHTS) as file:
        return Network({n: file[n].astype(np.float32) for n in file.files if n != "words"})


def log_shares(weights: NDArray[np.float64]) -> NDArray[np.float64]:
    """Log-weights as logarithms of probabilities."""
    return np.asarray(weights - np.logaddexp.reduce(weights))


def _texts(reading: Reading) -> Words:
    return tuple(word.text for word in reading.words)
