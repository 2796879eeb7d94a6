"""An utterance heard by the transcriber beside the engine, and both weighed against each other."""

from collections.abc import Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from pathlib import Path

import numpy as np

from voicelog.audio.base import RATE_HZ, Samples
from voicelog.grammar.hypothesis import Expect, HeardWord, Reading, in_order
from voicelog.grammar.neighbours import Neighbour
from voicelog.recognisers.free_text import FreeText
from voicelog.recognisers.last_number import LastNumber, LastNumbers
from voicelog.recognisers.networks import USUAL_SCALE, Networks, side_by_side
from voicelog.recognisers.rescoring import replaced, texts
from voicelog.recognisers.transcriber import LEAST, Transcriber
from voicelog.recognisers.usable_transcriber import open_now
from voicelog.recognisers.verification import (
    SHORT,
    short_written_in_grammar,
    written_in_grammar,
)
from voicelog.recognisers.whole_words import beside, log_shares
from voicelog.recognisers.word_pieces import WordPieces
from voicelog.recognisers.written_words import BEHIND, Words, Written, WrittenWords

_SILENCE = RATE_HZ * 6 // 10
"""Between the last pause, when all is heard ahead, and the end of an utterance come so many more
samples at most (0.6 s), all of silence: what was written still holds."""
SHARE_OF_ENGINE = 0.5
"""How much the engine's nats count beside those of the transcriber."""
END_MORE = 1.0
"""How much what a text falls short of at its end counts beside what it counts there anyway: where
the network would rather write more, something was left out."""
UNHEARD = 4.0
"""Nats of the engine against a reading that it did not weigh."""
MISTAKEN = 0.01
"""How often the transcriber has not heard what was said at all: what the engine is sure of does not
give way to it then, but is asked back at most."""
SURE_SLOPE, SURE_MIDDLE = 2.0, 5.0
"""A word that falls short by the second, in nats, is as sure as 0.5; the first says how fast that
falls."""
END_MIDDLE = 3.0
"""The same for the end: of 107 dictations that came out right (`tune`, three rooms) it fell short
by 0.4 nats at most in 105, by 2.2 in one; of three that lacked their last part by 4.3 to 8.5."""
_LAST = 2
"""So many words at the end are in doubt where the end is, as a unit such as "degrees" has no slot
of its own."""
_OTHERS = 4
"""So many of the transcriber's own readings are weighed by the engine at most, which takes it 20 to
80 ms each."""
_PATIENT = 0.5
"""What the engine is so sure of is heard to its end, talk or not."""
_CLOSE = 4.0
"""Where both hear the same, only what is behind it by so many nats at most is weighed."""
_TRUSTED = 2.0
"""Where its likeliest words fall short by so many nats a word at most, what it leaves out need not
be weighed by the engine, which takes that 20 ms."""


class WrittenHearing:
    """What the transcriber makes of one utterance. `networks` are those that the engine searches;
    `folder` is where its weights lie. Of a short phrase that the engine heard it tells how sure it
    is, not which it was: the engine has weighed it against everyday words."""

    hears_cleaned = True

    def __init__(self, networks: Networks, folder: Path) -> None:
        self._networks = networks
        self._transcriber = Transcriber(folder)
        self._pieces = WordPieces(folder / "tokenizer.bin")
        self._free_text = FreeText(self._transcriber, self._pieces)
        self._all_words: dict[Expect, WrittenWords] = {}
        aside = ThreadPoolExecutor(max_workers=1)
        self._opened = aside.submit(open_now, self._transcriber)  # takes a second, and so does more
        aside.shutdown(wait=False)
        self.go_on()

    def begin(self, expect: Expect) -> None:
        """Another utterance starts. What is made for each `expect` once, is made now, when there is
        time for it. Raises RecogniserError when the transcriber could not be loaded."""
        self._opened.result()
        if expect not in self._all_words:
            network = side_by_side(self._networks.of(expect))
            self._all_words[expect] = WrittenWords(network, self._pieces, 1 / USUAL_SCALE)
        self._words = self._all_words[expect]
        self.go_on()

    def go_on(self) -> None:
        """More of the utterance may have been said."""
        self._known: tuple[int, Written] | None = None
        self._near: tuple[Words, ...] = ()
        self._numbers = LastNumbers()

    def verified(self, heard: tuple[HeardWord, ...], sure: float, sound: Samples) -> float:
        """By how sure the engine is, and by how far the likeliest words fall short, or those that
        the engine heard. A short phrase that the engine did not hear is no help to one it did."""
        words = texts(heard)
        written = self._written(words, sound, patient=sure >= _PATIENT)
        found = {text: per_word(written.short_of[text])
                 for text in (written.best, words) if text in written.short_of}  # fmt: skip
        longer = [short_of for text, short_of in found.items() if len(text) > SHORT]
        if longer:
            return written_in_grammar(min(longer), sure)
        if words in found:
            return short_written_in_grammar(found[words], sure)
        if written.best in found and sure < _PATIENT:
            return short_written_in_grammar(found[written.best], 0.0)
        return sure

    def readings(self, start_ms: int, end_ms: int, sound: Samples) -> tuple[Reading, ...]:
        """Its own readings, short ones only where the likeliest is. Their words share the time
        evenly."""
        written, found = self._written((), sound), []
        is_short = len(written.best) <= SHORT
        alike = [text for text in written.nats if (len(text) <= SHORT) == is_short]
        for text in alike[: 2 * _OTHERS]:
            step_ms = (end_ms - start_ms) // len(text)
            words = tuple(
                HeardWord(word, start_ms + n * step_ms, start_ms + (n + 1) * step_ms, 0.0)
                for n, word in enumerate(text)
            )
            found.append(Reading(_surer(words, written), _weight(text, written)))
        return in_order(found) if found else ()

    def free_words(self, sound: Samples) -> str:
        """What it would rather write than words of the grammar."""
        return self._free_text.in_sound(sound)

    def last_number(self, heard: tuple[HeardWord, ...], sound: Samples) -> LastNumber | None:
        """For short answers alone."""
        return self._numbers.of(heard, sound) if len(heard) <= SHORT else None

    def to_weigh(
        self, near: tuple[Neighbour, ...], words: Words, sound: Samples
    ) -> tuple[Neighbour, ...]:
        """The neighbours of what the engine heard that it does not leave out, and the likeliest
        words that it writes. The others are read all the same, unweighed, for the desk."""
        if len(words) <= SHORT:
            return near
        written = self._written(words, sound)
        said = {words[: one.start] + one.instead + words[one.end :]: one for one in near}
        self._near = tuple(said)
        if written.best == words:
            likely, said = _close(written, _CLOSE), {}
        else:
            likely = _close(written, BEHIND)
            if per_word(written.short_of.get(written.best, ())) < _TRUSTED:
                said = {text: one for text, one in said.items() if text in written.nats}
        for text in likely:
            other = beside(words, text)
            if other is not None:
                said.setdefault(text, other)
        return tuple(said.values())

    def among(self, readings: tuple[Reading, ...], sound: Samples) -> tuple[Reading, ...]:
        """Readings of the engine, weighed by what is written too, and others that are written. A
        word is in doubt where both doubt it."""
        if max(len(reading.words) for reading in readings) <= SHORT:
            return readings
        written = self._written(texts(readings[0].words), sound)
        if not written.nats:
            return readings
        others = (*written.nats, *self._near)
        weighed = (*readings, *_not_weighed(readings, others))
        trusted = log_shares(np.array([_weight(texts(r.words), written) for r in weighed]))
        engine = log_shares(SHARE_OF_ENGINE * np.array([reading.log_weight for reading in weighed]))
        at_least = np.log(MISTAKEN / len(weighed))
        weights = engine + np.logaddexp(trusted + np.log1p(-MISTAKEN), at_least)
        return in_order([
            Reading(_surer(reading.words, written), float(weight))
            for reading, weight in zip(weighed, weights, strict=True)
        ])  # fmt: skip

    def _written(self, words: Words, sound: Samples, *, patient: bool = False) -> Written:
        """What is written of the sound, and how likely these words are in it. They are those that
        the engine hears first; while only silence is added nothing is heard anew."""
        if self._known is None or len(sound) - self._known[0] > _SILENCE:
            self._known = len(sound), self._in(words, sound, patient)
        return self._known[1]

    def _in(self, words: Words, sound: Samples, patient: bool) -> Written:
        if len(sound) < LEAST:
            return Written({}, {})
        heard = self._transcriber.heard(sound)
        also = [words] if words else []
        return self._words.in_sound(self._transcriber, heard, also, patient=patient)


def per_word(short_of: Sequence[float]) -> float:
    """By how many nats words and their end fall short, for each word."""
    return sum(short_of) / (len(short_of) - 1) if short_of else np.inf


def _weight(text: Words, written: Written) -> float:
    """Words that were not followed to their end are less likely than the best by as much as those
    that are given up, or more."""
    if text not in written.nats:
        return written.nats[written.best] - BEHIND
    return written.nats[text] - END_MORE * written.short_of[text][-1]


def _close(written: Written, within: float) -> list[Words]:
    """The likeliest few words that are behind the best by so many nats at most."""
    least = written.nats.get(written.best, 0.0) - within
    return [text for text, nats in written.nats.items() if nats > least][:_OTHERS]


def _not_weighed(readings: Sequence[Reading], others: Sequence[Words]) -> list[Reading]:
    """Others than these readings, as the engine has not weighed them."""
    heard, known = readings[0].words, {texts(reading.words) for reading in readings}
    engine = min(0.0, *(reading.log_weight for reading in readings)) - UNHEARD
    found = (beside(texts(heard), text) for text in dict.fromkeys(others) if text not in known)
    return [Reading(replaced(heard, other), engine) for other in found if other is not None]


def _surer(words: tuple[HeardWord, ...], written: Written) -> tuple[HeardWord, ...]:
    short_of = written.short_of.get(texts(words))
    if short_of is None:
        return words
    found = [
        replace(word, confidence=1 - (1 - word.confidence) * (1 - _sure(nats)))
        for word, nats in zip(words, short_of[:-1], strict=True)
    ]
    at_end = _sure(short_of[-1], END_MIDDLE)
    last = [replace(word, confidence=word.confidence * at_end) for word in found[-_LAST:]]
    return (*found[:-_LAST], *last)


def _sure(nats: float, middle: float = SURE_MIDDLE) -> float:
    return float(1 / (1 + np.exp(min(SURE_SLOPE * (nats - middle), 500.0))))
