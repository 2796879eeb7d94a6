"""The live loop: waits for sound and keys, steps the dialogue, does what it says.

Everything happens in this one thread, in order; only the microphone and the keyboard fill their
queues from elsewhere.
"""

import time
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from datetime import datetime
from queue import Empty, SimpleQueue
from typing import Literal
from uuid import uuid4

from voicelog.audio.base import Block, Source, Utterance
from voicelog.audio.clips import to_flac
from voicelog.audio.endpointer import Endpointer, SpeechContinued, SpeechEnded, SpeechStarted
from voicelog.dialogue.actions import Action, Drop, EndVisit, Keep, Save, Say, Signal
from voicelog.dialogue.events import (
    Event,
    Heard,
    KeyPressed,
    NotStored,
    SoundLost,
    Stopped,
    Stored,
)
from voicelog.dialogue.state import State
from voicelog.dialogue.step import step
from voicelog.errors import StoreError
from voicelog.grammar.posterior import Prior
from voicelog.hearing import Hearing
from voicelog.records.entry import Entry
from voicelog.speech.base import Voice
from voicelog.store.base import Clip, Store

Kind = Literal[
    "heard", "rejected", "proposed", "asked", "saved", "set aside", "dropped",
    "said", "lost", "trouble", "ended",
]  # fmt: skip
Key = Literal["affirm", "negative", "pause", "stop"]


@dataclass(frozen=True, slots=True)
class Happening:
    """One thing that happened, for screens and logs. Never holds words of talk."""

    kind: Kind
    at: datetime
    text: str = ""
    entry: Entry | None = None
    facts: Mapping[str, object] = field(default_factory=dict)


@dataclass(slots=True)
class Edges:
    """What the loop works with. `clock` gives the time of a place in the sound, in seconds.

    `remark` says in a short sentence what a saved record changes, or nothing. `prior` says what is
    known before the next utterance. `deaf` is true when what the tool says can reach the
    microphone.
    """

    hearing: Hearing
    store: Store
    voice: Voice
    clock: Callable[[float], datetime]
    watch: Callable[[Happening], None] = lambda happening: None
    level: Callable[[Block, State, bool], None] = lambda block, state, speaking: None
    remark: Callable[[State, Entry], str] = lambda state, entry: ""
    prior: Callable[[State], Prior] = lambda state: Prior()
    deaf: bool = True


class Live:
    """One visit being recorded. `state` is where the dialogue stands."""

    def __init__(self, state: State, edges: Edges, endpointer: Endpointer) -> None:
        self.state = state
        self.keys: SimpleQueue[Key] = SimpleQueue()
        self._edges = edges
        self._endpointer = endpointer
        self._source: Source | None = None
        self._position_s = 0.0
        self._ended_at_s: float | None = None
        self._sounds: dict[str, list[Clip]] = {}
        self._utterance: Utterance | None = None
        self._text = ""

    def run(self, source: Source) -> State:
        """Listen until the visit ends, the sound ends, or "stop" is put into `keys`.

        Raises AudioError or RecogniserError when an edge breaks; the visit then stays open, with
        everything saved or kept as unconfirmed, and can be taken up again.
        """
        self._source = source
        with source:
            self._do((Signal("ready"),))
            for block in source:
                self._position_s = block.start_s + block.duration_s
                self._press_keys()
                if self.state.mode == "ended":
                    break
                self._listen(block)
                self._edges.level(block, self.state, self._endpointer.speaking)
            else:
                for event in self._endpointer.flush():
                    self._speech(event)
        self._feed(Stopped(self._now()))
        return self.state

    def _now(self) -> datetime:
        return self._edges.clock(self._position_s)

    def _press_keys(self) -> None:
        while True:
            try:
                key = self.keys.get_nowait()
            except Empty:
                return
            if key == "stop":
                self._feed(Stopped(self._now()))
            elif key == "pause":
                paused = self.state.mode == "paused"
                self._feed(KeyPressed("go ahead" if paused else "stand by", self._now()))
            else:
                self._feed(KeyPressed(key, self._now()))

    def _listen(self, block: Block) -> None:
        if block.lost_s:
            self._endpointer.reset()
            self._tell("lost", facts={"seconds": round(block.lost_s, 3)})
            self._feed(SoundLost(block.lost_s, self._now()))
        for event in self._endpointer.feed(block):
            self._speech(event)

    def _speech(self, event: SpeechStarted | SpeechContinued | SpeechEnded) -> None:
        hearing = self._edges.hearing
        match event:
            case SpeechStarted():
                hearing.begin(self.state.expect)
            case SpeechContinued(samples):
                hearing.more(samples)
            case SpeechEnded(utterance):
                self._ended_at_s = time.perf_counter()
                self._hear(utterance)
                self._ended_at_s = None

    def _hear(self, utterance: Utterance) -> None:
        hearing = self._edges.hearing
        meant, hypothesis = hearing.end(utterance, self._edges.prior(self.state))
        self._utterance, self._text = utterance, meant.text
        if meant.intent is None:
            self._tell("rejected", facts={"reason": meant.reason})
        else:
            facts = {
                "intent": meant.intent.command or meant.intent.kind,
                "slots": dict(meant.intent.slots),
                "confidence": round(meant.confidence, 3),
            }
            self._tell("heard", meant.text, facts=facts)
        at = self._edges.clock(utterance.start_s)
        evidence = hearing.evidence(meant, hypothesis)
        self._feed(Heard(meant, evidence, fresh_id=uuid4().hex, at=at))
        self._utterance = None

    def _feed(self, event: Event) -> None:
        self.state, actions = step(self.state, event)
        self._do(actions)

    def _do(self, actions: tuple[Action, ...]) -> None:
        for action in actions:
            match action:
                case Keep(entry) | Save(entry) | Drop(entry):
                    self._store(entry)
                case Say(text):
                    self._say(text)
                case Signal(cue):
                    self._signal(cue)
                case EndVisit(at):
                    self._end_visit(at)

    def _store(self, entry: Entry) -> None:
        clips = self._sounds.setdefault(entry.entry_id, [])
        if self._utterance is not None and entry.status == "unconfirmed":
            sound = self._utterance
            clips.append(Clip(to_flac(sound.samples), self._text, sound.duration_s))
        try:
            self._edges.store.append(entry, clips)
        except StoreError as error:
            self._tell("trouble", str(error), entry)
            self._feed(NotStored(entry, f"{error.what}."))
            return
        clips.clear()
        remark = ""
        if entry.status == "confirmed":
            remark = self._edges.remark(self.state, entry)
            self._tell("saved", remark, entry)
        elif entry.status == "dropped":
            self._tell("dropped", entry=entry)
        self._feed(Stored(entry, remark))

    def _end_visit(self, at: datetime) -> None:
        try:
            self._edges.store.end_visit(self.state.setting.visit.visit_id, at)
        except StoreError as error:
            self._tell("trouble", str(error))
        self._tell("ended")

    def _signal(self, cue: str) -> None:
        draft = self.state.draft
        if cue == "kept" and self.state.aside:
            self._tell("set aside", entry=self.state.aside[-1])
        elif cue in ("heard", "ask") and draft is not None:
            kind: Kind = "proposed" if draft.asked is None else "asked"
            facts = {} if draft.asked is None else {"slot": draft.asked}
            self._tell(kind, self.state.said, draft.entry, facts)
        self._sounding(lambda: self._edges.voice.tone(cue))  # type: ignore[arg-type]

    def _say(self, text: str) -> None:
        facts: dict[str, object] = {}
        if self._ended_at_s is not None:
            facts["latency_ms"] = round(1000 * (time.perf_counter() - self._ended_at_s), 1)
            self._ended_at_s = None
        self._tell("said", text, facts=facts)
        self._sounding(lambda: self._edges.voice.say(text))

    def _sounding(self, speak: Callable[[], None]) -> None:
        """Speak, and forget what the microphone heard meanwhile."""
        speak()
        if self._edges.deaf and self._source is not None:
            self._source.drop_unread()
            self._endpointer.reset()

    def _tell(
        self,
        kind: Kind,
        text: str = "",
        entry: Entry | None = None,
        facts: Mapping[str, object] | None = None,
    ) -> None:
        self._edges.watch(Happening(kind, self._now(), text, entry, facts or {}))
