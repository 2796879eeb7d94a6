"""A recogniser that hears what it is told to: for tests, and to try the dialogue without sound."""

from collections.abc import Callable, Iterable

import numpy as np

from voicelog.audio.base import Samples
from voicelog.errors import RecogniserError
from voicelog.grammar.hypothesis import Expect, Hypothesis

Script = Iterable[Hypothesis] | Callable[[Samples], Hypothesis]


class ScriptedRecogniser:
    """Gives the hypotheses of a script in their order, or those that a function makes of the sound.

    A script that has run out hears nothing. `awaited` lists what the dialogue waited for, one item
    for each utterance begun; `note` is the answer to every `transcribe`.
    """

    engine = "scripted"
    model = "script"

    def __init__(self, script: Script, *, note: str = "") -> None:
        self.awaited: list[Expect] = []
        self._answer = script if callable(script) else _in_order(script)
        self._note = note
        self._heard: list[Samples] | None = None

    def begin(self, expect: Expect) -> None:
        """Start an utterance; one that was not ended is forgotten."""
        self.awaited.append(expect)
        self._heard = []

    def hear(self, samples: Samples) -> None:
        """Keep the sound for the script. Raises RecogniserError before `begin`."""
        self._begun().append(samples)

    def pause(self) -> None:
        """Nothing can be done ahead."""
        self._begun()

    def end(self, cleaned: bool = False) -> Hypothesis:
        """Give what the script says. Raises RecogniserError before `begin`."""
        heard = self._begun()
        self._heard = None
        return self._answer(np.concatenate([np.empty(0, np.int16), *heard]))

    def transcribe(self, samples: Samples) -> str:
        """Give the scripted note."""
        return self._note

    def _begun(self) -> list[Samples]:
        if self._heard is None:
            raise RecogniserError(
                "Sound arrived before an utterance was begun", do="Call begin first"
            )
        return self._heard


def _in_order(script: Iterable[Hypothesis]) -> Callable[[Samples], Hypothesis]:
    lines = iter(script)
    nothing = Hypothesis((), 0.0, ScriptedRecogniser.engine, ScriptedRecogniser.model, 0.0)
    return lambda _: next(lines, nothing)
