"""A visit that is listened to: a room with sound, a scripted engine, a store on disk."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from types import TracebackType
from typing import Self

import numpy as np

from voicelog.audio.base import RATE_HZ, Block, Samples
from voicelog.audio.endpointer import Endpointer
from voicelog.dialogue.state import Setting
from voicelog.errors import AudioError, SpeechError
from voicelog.grammar.hypothesis import HeardWord, Hypothesis, Reading
from voicelog.grammar.interpret import Bars
from voicelog.grammar.phrases import Phrases
from voicelog.listening.edges import Edges
from voicelog.listening.happenings import Happening
from voicelog.listening.hearing import Hearing
from voicelog.listening.live import Live
from voicelog.recognisers.scripted import ScriptedRecogniser
from voicelog.speech.printed import PrintedVoice
from voicelog.store.sqlite import SqliteStore
from voicelog.visits import open_visit, state_of

START = datetime(2026, 3, 2, 9, 0, tzinfo=UTC)


BASELINE = "left ankle dorsiflexion baseline twelve degrees pain six"


BLOCK = 480


def heard(text: str, in_grammar: float = 0.99) -> Hypothesis:
    words = tuple(HeardWord(w, 100 * i, 100 * i + 100, 0.99) for i, w in enumerate(text.split()))
    return Hypothesis((Reading(words),), in_grammar, "scripted", "script", 0.0)


@dataclass
class Room:
    """A source made of speech, one utterance for each thing she says, and what goes wrong."""

    speech: Samples
    utterances: int
    lost_before: int = -1
    unplugged_after: int = -1
    gone: range = range(0)
    dropped: int = 0
    on_block: Callable[[int], None] = lambda number: None
    opened: bool = field(default=False, init=False)

    def __enter__(self) -> Self:
        self.opened = True
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self.opened = False

    def __iter__(self) -> Iterator[Block]:
        quiet = np.random.default_rng(0).normal(0, 8, 2 * RATE_HZ).astype(np.int16)
        sound = np.concatenate([quiet, *[self.speech, quiet] * self.utterances])
        for number, first in enumerate(range(0, len(sound), BLOCK)):
            self.on_block(number)
            if number == self.unplugged_after:
                raise AudioError("The microphone went away", do="Plug it in again")
            if number in self.gone:
                yield Block(sound[:0], first / RATE_HZ, gone=AudioError("The microphone is gone"))
                continue
            lost_s = 0.5 if number == self.lost_before else 0.0
            yield Block(sound[first : first + BLOCK], first / RATE_HZ, lost_s)

    def drop_unread(self) -> None:
        self.dropped += 1


@dataclass
class Rig:
    """One visit on a real store in a temporary folder."""

    phrases: Phrases
    speech: Samples
    store: SqliteStore
    happenings: list[Happening] = field(default_factory=list)
    said: list[str] = field(default_factory=list)
    silent_for: int = 0
    """How many sentences the voice cannot say."""

    def speak(self, text: str) -> None:
        if self.silent_for and not text.startswith("("):  # a tone
            self.silent_for -= 1
            raise SpeechError("The earpiece is gone")
        self.said.append(text)

    def live(self, script: list[Hypothesis], *, deaf: bool = False) -> Live:
        visit = open_visit(self.store, "C-014", START).visit
        state = state_of(self.store, visit, lambda v: Setting(self.phrases.language, v, by="test"))
        recogniser = ScriptedRecogniser(script, note="as heard")
        edges = Edges(
            hearing=Hearing(recogniser, self.phrases, Bars()),
            store=self.store,
            voice=PrintedVoice(self.speak),
            clock=lambda s: START + timedelta(seconds=s),
            watch=self.happenings.append,
            deaf=deaf,
        )
        return Live(state, edges, Endpointer())

    def room(self, utterances: int) -> Room:
        return Room(self.speech, utterances)

    def kinds(self) -> list[str]:
        return [happening.kind for happening in self.happenings]


def only_visit(rig: Rig) -> str:
    (visit,) = rig.store.visits()
    return visit.visit_id
