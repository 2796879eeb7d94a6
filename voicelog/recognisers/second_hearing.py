"""The promise of whatever hears an utterance beside the engine: by other means, so that the two
seldom make the same mistake."""

from typing import Protocol

from voicelog.audio.base import Samples
from voicelog.grammar.hypothesis import Expect, HeardWord, Reading
from voicelog.grammar.neighbours import Neighbour
from voicelog.recognisers.last_number import LastNumber

Words = tuple[str, ...]


class SecondHearing(Protocol):
    """Hears one utterance at a time; `sound` is all of it so far, 16 kHz.

    `hears_cleaned`: whether it knows what to make of sound that others were taken out of.
    """

    hears_cleaned: bool

    def begin(self, expect: Expect) -> None:
        """Another utterance starts, while the dialogue waits for `expect`."""
        ...

    def go_on(self) -> None:
        """More of the utterance may have been said."""
        ...

    def verified(self, heard: tuple[HeardWord, ...], sure: float, sound: Samples) -> float:
        """The probability that it was dictated at all, 0 to 1; `sure` is what the engine says."""
        ...

    def readings(self, start_ms: int, end_ms: int, sound: Samples) -> tuple[Reading, ...]:
        """What it heard by itself of speech between two times, likeliest first."""
        ...

    def to_weigh(
        self, near: tuple[Neighbour, ...], words: Words, sound: Samples
    ) -> tuple[Neighbour, ...]:
        """What the engine is to weigh against the `words` that it heard; `near` are what it would
        weigh by itself."""
        ...

    def among(self, readings: tuple[Reading, ...], sound: Samples) -> tuple[Reading, ...]:
        """Readings of the engine weighed by what it heard too; likeliest first."""
        ...

    def free_words(self, sound: Samples) -> str:
        """Free words, for a note, as well as it can; nothing when it hears none."""
        ...

    def last_number(self, heard: tuple[HeardWord, ...], sound: Samples) -> LastNumber | None:
        """What the last word was as a whole, where it was heard as a number."""
        ...
