"""The live loop: waits for sound and keys, steps the dialogue, does what it says.

Everything happens in this one thread, in order; only the microphone and the keyboard fill their
queues from elsewhere.
"""

import time
from collections.abc import Mapping
from datetime import datetime
from uuid import uuid4

from voicelog.audio.base import Block, Source, Utterance
from voicelog.audio.endpointer import (
    Endpointer,
    SpeechContinued,
    SpeechEnded,
    SpeechEvent,
    SpeechPaused,
    SpeechStarted,
)
from voicelog.dialogue.actions import Action, Drop, EndVisit, Keep, Save, Say, Signal, Tone
from voicelog.dialogue.events import (
    Ended,
    Event,
    Heard,
    KeyPressed,
    NotEnded,
    NotHeard,
    NotStored,
    SoundBack,
    SoundGone,
    SoundLost,
    Stopped,
    Stored,
)
from voicelog.dialogue.state import State
from voicelog.dialogue.step import step
from voicelog.errors import RecogniserError, StoreError
from voicelog.listening.edges import Edges
from voicelog.listening.happenings import Happening, Kind, facts_heard
from voicelog.listening.mouth import Mouth
from voicelog.listening.presses import Presses
from voicelog.listening.unkept_sound import UnkeptSound
from voicelog.records.entry import Entry

FAILURES_IN_A_ROW = 3
"""After as many, the engine counts as broken for good."""


class Live:
    """One visit being recorded. `state` is where the dialogue stands."""

    def __init__(self, state: State, edges: Edges, endpointer: Endpointer) -> None:
        self.state = state
        self.keys = Presses()
        self._edges = edges
        self._endpointer = endpointer
        self._source: Source | None = None
        self._position_s = 0.0
        self._ended_at_s: float | None = None
        self._sound = UnkeptSound()
        self._is_gone = False
        self._failures = 0
        self._mouth = Mouth(edges.voice, self._sounded, lambda e: self._tell("trouble", str(e)))

    def run(self, source: Source) -> State:
        """Listen until the visit ends, the sound ends, or a key ends it.

        Raises AudioError or RecogniserError when an edge breaks for good; the visit then stays
        open, with everything saved or kept as unconfirmed, and can be taken up again.
        """
        self._source = source
        with source:
            self._do((Signal("ready"),))
            for block in source:
                self._position_s = block.start_s + block.duration_s
                if self._press_keys():
                    return self.state
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

    def _press_keys(self) -> bool:
        """Do what the keys ask for. Whether to break off."""
        while (press := self.keys.take()) is not None:
            if press.key == "break off":
                return True
            if press.key == "stop":
                self._feed(Stopped(self._now()))
            elif press.key == "pause":
                paused = self.state.mode == "paused"
                self._feed(KeyPressed("go ahead" if paused else "stand by", self._now()))
            elif self._mouth.is_too_early(press):
                if self.state.waits_with:
                    self._mouth.tone("ask")
            elif press.key == "negative" or not self._mouth.make_up(self.state.waits_with):
                self._feed(KeyPressed(press.key, self._now()))
        return False

    def _listen(self, block: Block) -> None:
        if block.gone is not None:
            if not self._is_gone:
                self._is_gone = True
                self._endpointer.reset()
                self._tell("gone", f"{block.gone.what}.")
                self._feed(SoundGone())
            return
        if self._is_gone:
            self._is_gone = False
            self._tell("back", facts={"seconds": round(block.lost_s, 3)})
            self._feed(SoundBack(block.lost_s))
        elif block.lost_s:
            self._endpointer.reset()
            self._tell("lost", facts={"seconds": round(block.lost_s, 3)})
            self._feed(SoundLost())
        for event in self._endpointer.feed(block):
            self._speech(event)

    def _speech(self, event: SpeechEvent) -> None:
        try:
            self._follow(event)
        except RecogniserError as error:
            self._failures += 1
            if self._failures == FAILURES_IN_A_ROW:
                raise
            self._endpointer.reset()
            self._tell("trouble", str(error))
            self._feed(NotHeard())

    def _follow(self, event: SpeechEvent) -> None:
        hearing = self._edges.hearing
        match event:
            case SpeechStarted():
                hearing.begin(self.state.expect)
            case SpeechContinued(samples):
                hearing.more(samples)
            case SpeechPaused():
                hearing.pause()
            case SpeechEnded(utterance):
                self._ended_at_s = time.perf_counter()
                self._hear(utterance)
                self._ended_at_s = None

    def _hear(self, utterance: Utterance) -> None:
        hearing = self._edges.hearing
        meant, hypothesis = hearing.end(utterance, self._edges.prior(self.state))
        self._failures = 0
        if meant.intent is None:
            self._tell("rejected", facts={"reason": meant.reason})
        else:
            facts = facts_heard(meant.intent, meant.confidence)
            self._tell("heard", meant.text, facts=facts)
        affirmed = meant.intent is not None and meant.intent.command == "affirm"
        if affirmed and self._mouth.make_up(self.state.waits_with):
            return
        at = self._edges.clock(utterance.start_s)
        evidence = hearing.evidence(meant, hypothesis)
        self._sound.hear(evidence, utterance)
        self._feed(Heard(meant, evidence, fresh_id=uuid4().hex, at=at))

    def _feed(self, event: Event) -> None:
        before = self.state.said
        self.state, actions = step(self.state, event)
        if self.state.said != before:
            self._mouth.move_on(before)
        self._do(actions)

    def _do(self, actions: tuple[Action, ...]) -> None:
        for action in actions:
            match action:
                case Keep(entry) | Save(entry) | Drop(entry):
                    self._store(entry)
                case Say(text, aloud):
                    self._say(text, aloud=aloud)
                case Signal(tone):
                    self._signal(tone)
                case EndVisit(at):
                    self._end_visit(at)

    def _store(self, entry: Entry) -> None:
        try:
            self._edges.store.append(entry, self._sound.of(entry))
        except StoreError as error:
            self._tell("trouble", str(error), entry)
            self._feed(NotStored(entry, f"{error.what}."))
            return
        self._sound.kept(entry)
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
            self._feed(NotEnded(f"{error.what}."))
        else:
            self._tell("ended")
            self._feed(Ended())

    def _signal(self, tone: Tone) -> None:
        draft = self.state.draft
        if tone == "kept":
            self._tell("set aside", entry=self.state.aside[-1])
        elif tone in ("heard", "ask") and draft is not None:
            kind: Kind = "proposed" if draft.asked is None else "asked"
            facts = {} if draft.asked is None else {"slot": draft.asked}
            self._tell(kind, self.state.said, draft.entry, facts)
        self._mouth.tone(tone)

    def _say(self, text: str, *, aloud: bool) -> None:
        facts: dict[str, object] = {}
        if self._ended_at_s is not None:
            facts["latency_ms"] = round(1000 * (time.perf_counter() - self._ended_at_s), 1)
            self._ended_at_s = None
        self._tell("said", text, facts=facts)
        if aloud:
            self._mouth.say(text)

    def _sounded(self) -> None:
        """Forget what the microphone heard while the tool spoke."""
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
