"""The best reading weighed against others on the same sound.

Each other reading differs in a few words. Only the piece of sound around them is decoded again,
once for each way to say it, and the difference of the log-likelihoods tells how much likelier one
is than the other. So the readings get weights that mean something, and a word that opens a note or
gives a command is told apart from everyday words that sound like it (anti-models: Sukkar and Lee
1996, from memory).
"""

import math
from collections.abc import Collection, Mapping, Sequence

from voicelog.audio.base import RATE_HZ, Samples
from voicelog.grammar.automaton import Weights
from voicelog.grammar.hypothesis import HeardWord, Reading, in_order
from voicelog.grammar.neighbours import Neighbour
from voicelog.recognisers.decoding import Decoding

SCALE = 20.0
"""Nats of the engine that are worth one: it takes its frames for independent, so its scores
overstate what they know."""
WORD_MORE = 0.05
"""How likely a word more is before it is heard: a pause can sound like a short one. The same as the
engine's own insertion penalty."""
_MARGIN_MS = 150
Usual = Mapping[str, float]
Words = tuple[str, ...]
_Piece = tuple[int, int]
"""From one sample to another."""
_FILLER = "filler"
"""The rule that small words such as "uh" belong to."""
_SAME_PIECE = RATE_HZ // 20
"""Pieces that begin and end within so many samples (50 ms) of each other are the same. While she
may still go on, the last words seem to end 20 to 40 ms sooner."""


def usual_words(weights: Weights, fillers: Collection[str]) -> Usual:
    """How usual each word is that is not as usual as others. In the search fillers are rare by
    their rule; weighed by their sound alone "uh" was as likely as the "left" of a drill."""
    rare = weights.rules.get(_FILLER, 1.0)
    return {**weights.words, **{word: rare * weights.words.get(word, 1.0) for word in fillers}}


class Scored:
    """What was weighed in one utterance before, when she had paused, and what is weighed now:
    log-likelihoods in nats of the best of some phrases in a piece of its sound."""

    def __init__(self) -> None:
        self.scores: dict[tuple[tuple[Words, ...], _Piece], float] = {}
        self._pieces: list[_Piece] = []

    def piece(self, first: int, last: int) -> _Piece:
        """The piece to be weighed for this one: itself, or one that is as good as the same."""
        for piece in self._pieces:
            if abs(piece[0] - first) <= _SAME_PIECE and abs(piece[1] - last) <= _SAME_PIECE:
                return piece
        self._pieces.append((first, last))
        return first, last


class Judge:
    """Weighs readings of one utterance: `samples` are its sound, `mean` its cepstral mean.

    `usual` are the weights of words that are less usual than others (1). `decoding` must compute
    all its acoustic scores, not only those that a search needs: they are counted from the best of
    the frame, and could not be compared otherwise. `scored` remembers what was decoded in the same
    utterance before, when she had paused, and takes in what is decoded now.
    """

    def __init__(
        self, decoding: Decoding, samples: Samples, mean: str, usual: Usual, scored: Scored
    ) -> None:
        self._decoding = decoding
        self._usual = usual
        self._samples = samples
        self._mean = mean
        self._scored = scored

    def readings(
        self, heard: tuple[HeardWord, ...], neighbours: Sequence[Neighbour]
    ) -> tuple[Reading, ...]:
        """The reading that was heard and its neighbours, likeliest first, with log-weights."""
        known: dict[tuple[int, int], float] = {}
        weighed = [Reading(heard)]
        for other in neighbours:
            place = (other.start, other.end)
            if place not in known:
                known[place] = self._weight(heard, place, texts(heard[slice(*place)]))
            weight = self._weight(heard, place, other.instead)
            if math.isfinite(weight) and math.isfinite(known[place]):
                weighed.append(Reading(replaced(heard, other), weight - known[place]))
        return in_order(weighed)

    def lead(self, heard: tuple[HeardWord, ...], others: tuple[Words, ...]) -> float:
        """By how many nats these first words of an utterance fit better than the best of the
        `others`."""
        place = (0, len(heard))
        said = self._score(heard, place, (texts(heard),))
        best = self._score(heard, place, others)
        return said - best if math.isfinite(said) else -math.inf

    def _weight(
        self, heard: tuple[HeardWord, ...], place: tuple[int, int], instead: tuple[str, ...]
    ) -> float:
        """The logarithm of how likely these words are by the sound and by how usual they are."""
        usual = sum(math.log(WORD_MORE * self._usual.get(word, 1.0)) for word in instead)
        return self._score(heard, place, (instead,)) / SCALE + usual

    def _score(
        self, heard: tuple[HeardWord, ...], place: tuple[int, int], instead: tuple[Words, ...]
    ) -> float:
        """How well the best phrase of `instead` fits in a place of what was heard, with the words
        around."""
        start, end = place
        before, after = heard[max(0, start - 1) : start], heard[end : end + 1]
        from_ms = before[0].start_ms if before else heard[start].start_ms - _MARGIN_MS
        to_ms = after[0].end_ms if after else heard[end - 1].end_ms + _MARGIN_MS
        first, last = self._scored.piece(
            max(0, from_ms) * RATE_HZ // 1000,
            min(len(self._samples), to_ms * RATE_HZ // 1000),
        )
        phrases = tuple((*texts(before), *words, *texts(after)) for words in instead)
        asked = (phrases, (first, last))
        if asked not in self._scored.scores:
            score = self._decoding.score(phrases, self._samples[:last], first, self._mean)
            self._scored.scores[asked] = score
        return self._scored.scores[asked]


def texts(words: tuple[HeardWord, ...]) -> Words:
    """The words alone."""
    return tuple(word.text for word in words)


def replaced(heard: tuple[HeardWord, ...], other: Neighbour) -> tuple[HeardWord, ...]:
    """The reading with other words in their place, which share its time evenly."""
    before = heard[other.start : other.end]
    first_ms, last_ms = before[0].start_ms, before[-1].end_ms
    step_ms = (last_ms - first_ms) // max(1, len(other.instead))
    least = min(word.confidence for word in before)
    put = (
        HeardWord(text, first_ms + n * step_ms, first_ms + (n + 1) * step_ms, least)
        for n, text in enumerate(other.instead)
    )
    return (*heard[: other.start], *put, *heard[other.end :])
