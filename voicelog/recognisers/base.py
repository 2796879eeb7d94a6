"""The one small promise of every speech engine."""

from typing import Protocol

from voicelog.audio.base import Samples
from voicelog.grammar.hypothesis import Expect, Hypothesis


class Recogniser(Protocol):
    """Hears one utterance at a time.

    `begin` names what the dialogue waits for, and forgets an utterance that was not ended; `hear`
    takes sound as it comes, so that an engine may work while the therapist still speaks; `pause`
    tells that she has fallen silent and may be done, so that it may work ahead; `end` gives what
    was heard and is ready for the next `begin`. The words that `end` gives are the same with and
    without `pause`, and their weights nearly so. `transcribe` gives free words for a note, as well
    as the engine can. All raise RecogniserError when the engine fails; hearing nothing is a
    Hypothesis without readings, not an error.
    """

    engine: str
    model: str

    def begin(self, expect: Expect) -> None:
        """An utterance starts."""
        ...

    def hear(self, samples: Samples) -> None:
        """More of its sound."""
        ...

    def pause(self) -> None:
        """It may be over; more sound may follow all the same."""
        ...

    def end(self, cleaned: bool = False) -> Hypothesis:
        """It is over: what was heard. `cleaned`: others were taken out of its sound."""
        ...

    def transcribe(self, samples: Samples) -> str:
        """Free words, as well as the engine can."""
        ...
