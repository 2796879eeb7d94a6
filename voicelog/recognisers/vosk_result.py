"""From the engine's n-best lists to a hypothesis: readings, word confidence, and whether the sound
belongs to the grammar at all."""

import json
import math
from collections.abc import Sequence
from dataclasses import dataclass

from voicelog.grammar.hypothesis import HeardWord, Reading

UNKNOWN = "[unk]"
"""The word by which a model that has it stands for any word outside the phrases."""

EVEN_GAIN = -7.9
"""Gain, in nats per second of speech, at which grammar and talk are equally likely."""
GAIN_SPREAD = 4.4
"""Nats per second over which the odds change by a factor of e."""
LEAST_SPEECH_S = 0.3
"""Shorter speech counts as this long, so that a click is not judged by two frames."""


@dataclass(frozen=True, slots=True)
class Word:
    """A word on a path; times count from the start of the utterance, in seconds."""

    text: str
    start_s: float
    end_s: float


@dataclass(frozen=True, slots=True)
class Path:
    """One way through the engine's graph. `score` is its natural-log score, acoustic and language
    together: no probability, but paths of the same sound can be compared."""

    words: tuple[Word, ...]
    score: float

    @property
    def speech_s(self) -> float:
        """Time covered by words, in seconds."""
        return sum(word.end_s - word.start_s for word in self.words)

    @property
    def of_the_phrases(self) -> bool:
        """Whether there are words, and all of them are from the phrases."""
        return bool(self.words) and all(word.text != UNKNOWN for word in self.words)


def read_paths(answer: str, start_s: float) -> tuple[Path, ...]:
    """Read the engine's n-best answer (JSON), best first.

    `start_s` is where the utterance began on the engine's clock, which never stops.
    """
    return tuple(
        Path(
            tuple(
                Word(word["word"], max(0.0, word["start"] - start_s), word["end"] - start_s)
                for word in way.get("result", ())
            ),
            way["confidence"],
        )
        for way in json.loads(answer).get("alternatives", ())
    )


def readings(paths: Sequence[Path]) -> tuple[Reading, ...]:
    """Turn the paths that are wholly of the phrases into readings, best first.

    A word's confidence is the share of all paths, by weight, that have the same word at the same
    time. The engine's own word confidence exists for the best path only and stays near 1 for wrong
    words.
    """
    shares = _shares(paths)
    kept = [path for path in paths if path.of_the_phrases]
    return tuple(
        Reading(
            tuple(
                HeardWord(
                    word.text,
                    round(word.start_s * 1000),
                    round(word.end_s * 1000),
                    _support(word, paths, shares),
                )
                for word in path.words
            ),
            path.score - kept[0].score,
        )
        for path in kept
    )


def in_grammar(paths: Sequence[Path], free: Sequence[Path]) -> float:
    """Estimate the probability (0 to 1) that the sound was spoken in the grammar.

    Two factors are multiplied. The first compares the best path of the phrases with the best path
    of a free decode of the same sound: gain = (phrase score - free score) / seconds of speech, put
    through a logistic curve. Talk forced into phrases fits the sound badly, so its gain is far
    below zero; dictation gains about as much from the small language model as it loses in freedom,
    so its gain is near zero. The second is the share of the n-best paths, by weight, that are
    wholly of the phrases: paths with the unknown word, or with no word, speak against the grammar.

    The curve is a logistic regression, both classes weighted alike, on 210 utterances (126 of the
    phrases, 84 of talk) by three synthetic Korean voices; it holds for other models only roughly
    until fitted for them. Steady noise and tones score alike on both paths and pass: keeping them
    out is the task of the endpointer and the parser.
    """
    kept = [path for path in paths if path.of_the_phrases]
    if not kept or not free:
        return 0.0
    speech_s = max(kept[0].speech_s, free[0].speech_s, LEAST_SPEECH_S)
    gain = (kept[0].score - free[0].score) / speech_s
    odds = math.exp(min(50.0, (EVEN_GAIN - gain) / GAIN_SPREAD))
    share = sum(s for s, path in zip(_shares(paths), paths, strict=True) if path.of_the_phrases)
    return min(1.0, share / (1.0 + odds))


def _shares(paths: Sequence[Path]) -> tuple[float, ...]:
    best = max((path.score for path in paths), default=0.0)
    weights = [math.exp(path.score - best) for path in paths]
    return tuple(weight / sum(weights) for weight in weights)


def _support(word: Word, paths: Sequence[Path], shares: Sequence[float]) -> float:
    support = sum(
        share
        for path, share in zip(paths, shares, strict=True)
        if any(_same(word, other) for other in path.words)
    )
    return min(1.0, support)


def _same(word: Word, other: Word) -> bool:
    return word.text == other.text and word.start_s < other.end_s and other.start_s < word.end_s
