"""Was it spoken in the grammar at all? A likelihood-ratio test of each word against a phone loop.

A hard grammar makes some sentence of any sound. So the same sound is decoded twice, with the
grammar and freely, as a loop of phones, and for each word the acoustic log-likelihoods over its
frames are compared. Dictated words fall a little short of the free phones, talk pressed into the
grammar falls far short. Method: utterance verification by likelihood ratios (Rose, Juang and Lee
1995; Sukkar and Lee 1996; both from memory).

The curve is a logistic regression fitted on 274 dictations and commands that were heard right and
on 205 pieces of talk: voices flite awb, kal16 and ked, festival kal and ked, espeak-ng male, piper
joe slowed down, and recorded meetings. None of their sentences is in `audio_fixtures`.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

WORST_WORD, MEAN_WORD, BIAS = 0.780, 2.195, 12.431
"""Weights of the worst and of the mean ratio of the words, in nats per frame, and the constant."""
WORD_SLOPE, WORD_MIDDLE = 1.5, -6.0
"""The same for a single word: at this ratio it is as likely heard as not."""
LEAD_SLOPE = 0.1
"""What a nat of lead over everyday words adds to that of a short phrase. Set by hand on `tune`: 32
commands of four voices, "out" apart, lead by 20 to 348 nats; single words that people say lead as
another command by 18 at most, as a number mostly by less than -30, and real numbers by -85 to 129.
Measured, as the curve was, before the noise removal was started anew for each utterance.
"""
MOST_LEAD = 40.0
"""More says no more: what fits no phones at all was not dictated, whatever else it is not."""
MOST_LEFT_OUT = 0.35
"""A larger share of speech outside of the words means that they stood inside other talk: of the 274
right ones 1 left out more, of "stand by the window" and the like none left out less than 0.7."""
FARTHEST = -12.0
"""Ratios below this say no more; in nats per frame."""


@dataclass(frozen=True, slots=True)
class Segment:
    """A word or phone of a path: frames `first` to `last`, and its acoustic log-likelihood in
    nats over them."""

    name: str
    first: int
    last: int
    log_likelihood: float

    @property
    def frames(self) -> int:
        """How many frames it lasts; 0 for one without sound."""
        return max(0, self.last - self.first + 1)


def ratios(words: Sequence[Segment], phones: Sequence[Segment]) -> tuple[float, ...]:
    """For each word, how far it falls short of the free phones, in nats per frame (0 or below,
    apart from pruning)."""
    if not words:
        return ()
    free = _per_frame(phones, 1 + max(word.last for word in words))
    return tuple(
        max(FARTHEST, (w.log_likelihood - free[w.first : w.last + 1].sum()) / max(1, w.frames))
        for w in words
    )


def in_grammar(found: Sequence[float], lead: float = 0.0) -> float:
    """The probability that words with these ratios were dictated rather than talked; 0 for none.

    `lead`: by how many nats a short phrase fits the sound better than everyday words do.
    """
    if not found:
        return 0.0
    mean = sum(found) / len(found)
    score = WORST_WORD * min(found) + MEAN_WORD * mean + BIAS
    return _logistic(score + LEAD_SLOPE * min(lead, MOST_LEAD))


def left_out(words: Sequence[Segment], phones: Sequence[Segment]) -> float:
    """The share of the frames of speech, as the free phones have it, in no word; 0 to 1."""
    inside = {frame for word in words for frame in range(word.first, word.last + 1)}
    speech = [frame for phone in phones for frame in range(phone.first, phone.last + 1)]
    return sum(frame not in inside for frame in speech) / len(speech) if speech else 0.0


def word_confidence(ratio: float) -> float:
    """How sure a single word is, 0 to 1."""
    return _logistic(WORD_SLOPE * (ratio - WORD_MIDDLE))


def _per_frame(phones: Sequence[Segment], frames: int) -> NDArray[np.float64]:
    free = np.zeros(max([frames, *(phone.last + 1 for phone in phones)]))
    for phone in phones:
        if phone.frames:
            free[phone.first : phone.last + 1] = phone.log_likelihood / phone.frames
    return free


def _logistic(x: float) -> float:
    return 1 / (1 + math.exp(-x)) if x > -500 else 0.0
