"""What a recogniser hands over for one utterance. Made by the adapters, read by the core."""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal

Expect = Literal["any", "record", "command", "answer", "pain", "range"]
"""What the dialogue waits for: anything; a dictation; a command; slots that were asked for; a bare
number for pain; a bare number of degrees. The last three allow everything else as well."""


@dataclass(frozen=True, slots=True)
class HeardWord:
    """One word with its place in the utterance and how sure the engine is of it, 0 to 1."""

    text: str
    start_ms: int
    end_ms: int
    confidence: float


@dataclass(frozen=True, slots=True)
class Reading:
    """One way to read the sound. `log_weight` is the engine's natural-log score relative to the
    best reading (0 for the best, negative for the others)."""

    words: tuple[HeardWord, ...]
    log_weight: float = 0.0

    @property
    def text(self) -> str:
        """The words as one string."""
        return " ".join(word.text for word in self.words)


def in_order(readings: Iterable[Reading]) -> tuple[Reading, ...]:
    """Likeliest first, with weights against the best. Raises ValueError for none."""
    found = sorted(readings, key=lambda reading: -reading.log_weight)
    best = max(reading.log_weight for reading in found)
    return tuple(Reading(reading.words, reading.log_weight - best) for reading in found)


@dataclass(frozen=True, slots=True)
class Hypothesis:
    """All that an engine made of one utterance.

    `readings` are best first and empty when nothing of the grammar fits. `in_grammar` is the
    probability (0 to 1) that the sound was spoken in the grammar at all rather than being talk,
    from comparing the grammar's path with a free one. `engine` and `model` name who heard it.
    `compute_s` is the computing time spent on it, in seconds.
    """

    readings: tuple[Reading, ...]
    in_grammar: float
    engine: str
    model: str
    compute_s: float

    @property
    def text(self) -> str:
        """The words of the best reading, or nothing."""
        return self.readings[0].text if self.readings else ""
