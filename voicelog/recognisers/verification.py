"""Was it spoken in the grammar at all? A likelihood-ratio test of each word against a phone loop.

A hard grammar makes some sentence of any sound. So the same sound is decoded twice, with the
grammar and freely, as a loop of phones, and for each word the acoustic log-likelihoods over its
frames are compared. Dictated words fall a little short of the free phones, talk pressed into the
grammar falls far short. Method: utterance verification by likelihood ratios (Rose, Juang and Lee
1995; Sukkar and Lee 1996; both from memory).

Talk also fills itself with small words such as "uh" and "at", as they fit nearly anywhere, so each
counts against it. The curve is a logistic regression on 285 dictations of `tune` that were heard
right, 712 pieces of talk, 154 of babble alone and 23 of recorded meetings, in a quiet room, with
echo and babble 20 dB below, and in babble 10 dB below. That of short phrases is one on 274
dictations and commands in a quiet room and 205 pieces of talk: voices flite awb, kal16 and ked,
festival kal and ked, espeak-ng male, piper joe slowed down, and recorded meetings. None of their
sentences is in `audio_fixtures`.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from voicelog.audio.base import RATE_HZ, Samples
from voicelog.audio.level import step_powers

WORST_WORD, MEAN_WORD, FILLER, ONE_OF, BIAS = 0.912, 3.878, -2.668, -12.823, 22.38
"""Weights of the worst and of the mean ratio of the words, in nats per frame, of each filler, and
of one over the number of words, as few fit by chance; and the constant. Of the 285 right ones 11
fall below 0.5, of the rest 8 do not (15 and 24 with the curve of short phrases)."""
WORST_OF_FEW, MEAN_OF_FEW, BIAS_OF_FEW = 0.780, 2.195, 12.431
"""The same for a short phrase, to which its lead is added."""
WORD_SLOPE, WORD_MIDDLE = 1.0, -6.8
"""The same for a single word: at this ratio it is as likely heard as not. A logistic regression on
the slots of `tune` (2067, clean and in loud rooms) on whose value the readings agreed, by the least
sure word of each, gives 1.08 (standard error 0.15) and -6.84. Of the 240 clean dictations 4 slots
are asked back that were right and 3 that were wrong, with the curve set by hand before, 8 and 3."""
LEAD_OF_ANSWER, BIAS_OF_ANSWER = 0.033, 1.3
"""The same for any other short answer while a number is asked for, which makes one likely: by its
lead, in nats, as beside that the mean ratio tells nothing more (0.15, standard error 0.18). How far
the worst lies below it tells something for two words (deviance 253, then 223), and is not used yet;
`FILLER` is. A logistic regression, both classes weighted alike, on 162 numbers of `tune` that were
heard right (people, over a telephone and not, and synthetic voices) and 194 words and short phrases
of talk."""
NUMBER_SLOPE, BIAS_OF_NUMBER = 1.28, 0.77
"""The same where the answer is a number heard as a whole word (`last_number`), by its lead in nats
over anything else. A logistic regression, both classes weighted alike, on 232 numbers and 639 other
words of `tune`, each heard by a network that was taught without its speaker (standard errors 0.09
and 0.16). On 296 of them, with an earlier network, the lead over everyday words told little beside
it (deviance 455 with both, 465 and 710 with one alone)."""
SHORT_OF, ENGINE_SURE, BIAS_OF_WRITTEN = -1.43, 0.51, 8.06
"""Weights of how far the transcriber's words fall short, in nats a word, and of the log-odds that
the engine gives; and the constant. A logistic regression, both classes weighted alike, on 236
dictations of `tune` that came out right, a fifth of them by a large neural voice, in a quiet room,
with echo and babble 20 dB below, and in babble 10 dB below, and 94 pieces of talk: with 0.5 two of
the dictations are dropped and none of the talk is taken. With 144 pieces it would be -1.44, 0.44
and 7.44."""
SHORT_OF_FEW, ENGINE_SURE_OF_FEW, BIAS_OF_WRITTEN_FEW = -1.06, 0.79, 6.5
"""The same for a short phrase, on 80 commands by the voices of `tune` in a quiet room and 76 short
phrases that talk was taken for; there the constant was 7.5, and is one less here, as what acts must
be surer. Those commands fall short by 0 nats a word at the median, by 3.0 in one of twenty; talk by
2.1 at least, in all but three by more than 5."""
LEAST_SURE = 0.001
"""The engine is taken to be so sure at least, and so unsure at least."""
LEAD_SLOPE = 0.1
"""What a nat of lead over everyday words adds to that of a short phrase. Set by hand on `tune`: 32
commands of four voices, "out" apart, lead by 20 to 348 nats; single words that people say lead as
another command by 18 at most, as a number mostly by less than -30, and real numbers by -85 to 129.
Measured, as the curve was, before the noise removal was started anew for each utterance.
"""
MOST_LEAD = 40.0
"""More says no more: what fits no phones at all was not dictated, whatever else it is not."""
SHORT, SHORT_FRAMES = 2, 70
"""A phrase of so many words is short, and so are more in less time: a client's "right" was heard as
"foot right hip"."""
MOST_LEFT_OUT = 0.35
"""A larger share of speech outside of the words means that they stood inside other talk: of the 274
right ones 1 left out more, of "stand by the window" and the like none left out less than 0.7."""
AS_LOUD_DB = 17.0
"""Speech that is softer than the loudest of the words by more does not count. In babble 10 dB
below, 3 of 38 commands of `tune` left out too much with all of it, 1 does so; inside other talk
none left out less than 0.75 either way."""
QUIETER_DB = 20.0
"""A pause is softer than the loudest of the word before it by more."""
_AROUND = 10
"""A pause begins at most so many frames before or behind where the engine ends the word."""
_STEP = RATE_HZ // 100
_SMOOTH = 5
"""Levels are taken over so many frames, as a word is not equally loud throughout."""
NOTE_LEAD = 20.0
"""So many nats the word that opens a note must fit better than everyday words. Of 25 notes by five
voices of `tune` 19 lead by 33 to 102, one by 2, those of the formant voice by 8 at most."""
NOTE_PAUSE = 10
"""A pause of so many frames must follow it, or it was the start of "notice" or of "no pain".
Of 25 such notes by five voices of `tune` 18 are taken, with pauses of 22 frames and more; of 70
lines of talk that begin with "no", "now" and the like 5 would be taken without this, with 3 frames
at most. In babble 10 dB below 9 notes, and 2 lines with 5 frames at most."""
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


def in_grammar(found: Sequence[float], fillers: int = 0) -> float:
    """The probability that words with these ratios were dictated rather than talked; 0 for none.

    `fillers`: how many of the words are such as "uh" and "at".
    """
    if not found:
        return 0.0
    mean = sum(found) / len(found)
    score = WORST_WORD * min(found) + MEAN_WORD * mean + FILLER * fillers + ONE_OF / len(found)
    return _logistic(score + BIAS)


def short_in_grammar(found: Sequence[float], lead: float = 0.0) -> float:
    """The same for a short phrase. `lead`: by how many nats it fits the sound better than everyday
    words do."""
    if not found:
        return 0.0
    mean = sum(found) / len(found)
    score = WORST_OF_FEW * min(found) + MEAN_OF_FEW * mean + BIAS_OF_FEW
    return _logistic(score + LEAD_SLOPE * min(lead, MOST_LEAD))


def answer_in_grammar(lead: float, fillers: int = 0) -> float:
    """The same for a short answer while a number is asked for, by its lead in nats."""
    return _logistic(LEAD_OF_ANSWER * lead + FILLER * fillers + BIAS_OF_ANSWER)


def number_in_grammar(lead: float, fillers: int = 0) -> float:
    """The same for a number that was heard as a whole word, by its lead in nats."""
    return _logistic(NUMBER_SLOPE * lead + FILLER * fillers + BIAS_OF_NUMBER)


def written_in_grammar(short_of: float, sure: float) -> float:
    """The same for a longer sentence that the transcriber heard too: its words fall short by so
    many nats each of what it would rather write. `sure` is how sure the engine is of them."""
    return _logistic(SHORT_OF * short_of + ENGINE_SURE * _log_odds(sure) + BIAS_OF_WRITTEN)


def short_written_in_grammar(short_of: float, sure: float) -> float:
    """The same for a short phrase."""
    score = SHORT_OF_FEW * short_of + ENGINE_SURE_OF_FEW * _log_odds(sure)
    return _logistic(score + BIAS_OF_WRITTEN_FEW)


def left_out(words: Sequence[Segment], phones: Sequence[Segment], samples: Samples) -> float:
    """The share of the frames of speech, as the free phones have it, in no word; 0 to 1.

    `samples` are what both were heard in: what is far softer than the words was not hers.
    """
    levels_db = _levels_db(samples, frames=1 + max((s.last for s in (*words, *phones)), default=-1))
    inside, speech = _frames_of(words, len(levels_db)), _frames_of(phones, len(levels_db))
    if inside.any():
        speech &= levels_db > levels_db[inside].max() - AS_LOUD_DB
    return float((speech & ~inside).sum() / speech.sum()) if speech.any() else 0.0


def pause_behind(word: Segment, samples: Samples) -> int:
    """How many frames the pause lasts that begins where a word ends; 0 where none does."""
    levels_db = _levels_db(samples, frames=word.last + 1)
    quiet = levels_db < levels_db[word.first : word.last + 1].max() - QUIETER_DB
    begin = max(0, word.last - _AROUND)
    edges = np.flatnonzero(np.diff(quiet[begin:], prepend=False, append=False)) + begin
    pauses = zip(edges[::2], edges[1::2], strict=True)
    return max((int(end - at) for at, end in pauses if at <= word.last + _AROUND), default=0)


def is_short(words: Sequence[Segment]) -> bool:
    """Whether words have few sounds."""
    return len(words) <= SHORT or words[-1].last - words[0].first < SHORT_FRAMES


def word_confidence(ratio: float) -> float:
    """How sure a single word is, 0 to 1."""
    return _logistic(WORD_SLOPE * (ratio - WORD_MIDDLE))


def _per_frame(phones: Sequence[Segment], frames: int) -> NDArray[np.float64]:
    free = np.zeros(max([frames, *(phone.last + 1 for phone in phones)]))
    for phone in phones:
        if phone.frames:
            free[phone.first : phone.last + 1] = phone.log_likelihood / phone.frames
    return free


def _levels_db(samples: Samples, frames: int) -> NDArray[np.float64]:
    """How loud each frame is, in dB above one step of 16 bits; those behind the end of the sound
    are silent."""
    heard = step_powers(samples, _STEP)
    powers = np.zeros(max(1, frames, len(heard)))
    powers[: len(heard)] = heard
    smooth = np.convolve(powers, np.full(_SMOOTH, 1 / _SMOOTH), "same")
    return np.asarray(10 * np.log10(smooth + 1.0), np.float64)


def _frames_of(segments: Sequence[Segment], frames: int) -> NDArray[np.bool_]:
    found = np.zeros(frames, np.bool_)
    for segment in segments:
        found[segment.first : segment.last + 1] = True
    return found


def _log_odds(sure: float) -> float:
    sure = min(max(sure, LEAST_SURE), 1 - LEAST_SURE)
    return math.log(sure / (1 - sure))


def _logistic(x: float) -> float:
    return 1 / (1 + math.exp(-x)) if x > -500 else 0.0
