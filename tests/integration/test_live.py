"""The live loop with real sound, endpointer and store; only the words are scripted."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from pathlib import Path
from types import TracebackType
from typing import Self

import numpy as np
import pytest

from voicelog.audio.base import RATE_HZ, Block, Samples
from voicelog.audio.clips import from_flac
from voicelog.audio.endpointer import Endpointer
from voicelog.dialogue.state import Setting, State
from voicelog.edges import Edges
from voicelog.errors import AudioError, RecogniserError, SpeechError, StoreError
from voicelog.grammar.hypothesis import HeardWord, Hypothesis, Reading
from voicelog.grammar.interpret import Bars
from voicelog.grammar.phrases import Phrases
from voicelog.happenings import Happening
from voicelog.hearing import Hearing
from voicelog.live import Live
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
        if self.silent_for:
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


def failing(live: Live, rig: Rig, utterances: set[int]) -> None:
    """Let the engine fail on the utterances of these numbers, counted from 1."""
    recogniser = live._edges.hearing.recogniser
    heard_well, count = recogniser.end, 0

    def end() -> Hypothesis:
        nonlocal count
        count += 1
        if count in utterances:
            raise RecogniserError("The speech engine has hung and was started anew")
        return heard_well()

    recogniser.end = end  # type: ignore[method-assign]


@pytest.fixture
def rig(phrases: Phrases, speech: Samples, tmp_path: Path) -> Iterator[Rig]:
    store = SqliteStore(tmp_path / "records.sqlite")
    yield Rig(phrases, speech, store)
    store.close()


def only_visit(rig: Rig) -> str:
    (visit,) = rig.store.visits()
    return visit.visit_id


def test_a_dictation_and_a_yes_become_a_record_with_its_sound(rig: Rig) -> None:
    state = rig.live([heard(BASELINE), heard("affirm")]).run(rig.room(2))
    (record,) = rig.store.records(only_visit(rig))
    assert state.records == (record,)
    assert record.evidence[0].text == BASELINE
    (clip,) = rig.store.clips(record.entry_id)
    sound = from_flac(clip.flac)
    assert clip.text == BASELINE
    assert len(sound) == round(clip.duration_s * RATE_HZ)
    assert len(rig.speech) * 0.5 < len(sound) < len(rig.speech) * 1.5


def test_talk_leaves_neither_record_nor_sound_nor_words(rig: Rig, tmp_path: Path) -> None:
    talk = "left knee flexion gap trial pain four"
    rig.live([heard(talk, in_grammar=0.01)] * 3).run(rig.room(3))
    assert rig.store.records(only_visit(rig)) == rig.store.unconfirmed(only_visit(rig)) == ()
    assert rig.kinds() == ["rejected"] * 3 + ["ended"]
    assert all("knee" not in happening.text for happening in rig.happenings)
    kept = b"".join(file.read_bytes() for file in tmp_path.iterdir())
    assert b"fLaC" not in kept
    assert b"knee" not in kept


def test_what_happens_is_told_in_order(rig: Rig) -> None:
    rig.live(
        [heard(BASELINE), heard("affirm"), heard("left hip flexion gap trial"), heard("disregard")]
    ).run(rig.room(4))
    told = [kind for kind in rig.kinds() if kind != "said"]
    assert told == [
        "heard", "proposed", "heard", "saved", "heard", "asked", "heard", "dropped", "ended",
    ]  # fmt: skip


def test_the_time_from_endpoint_to_read_back_is_told(rig: Rig) -> None:
    rig.live([heard(BASELINE)]).run(rig.room(1))
    latencies = [h.facts["latency_ms"] for h in rig.happenings if "latency_ms" in h.facts]
    assert len(latencies) == 1
    assert all(isinstance(latency, float) and latency >= 0 for latency in latencies)


def test_a_note_is_kept_with_its_sound_and_the_best_guess(rig: Rig) -> None:
    rig.live([heard("note b l a h", in_grammar=0.9999), heard("affirm")]).run(rig.room(2))
    (record,) = rig.store.records(only_visit(rig))
    assert record.content.model_dump() == {"kind": "note", "text": "as heard", "checked": False}
    assert len(rig.store.clips(record.entry_id)) == 1


def test_lost_sound_is_said(rig: Rig) -> None:
    room = rig.room(1)
    room.lost_before = 5
    rig.live([heard(BASELINE)]).run(room)
    assert "lost" in rig.kinds()
    assert "Some sound was lost. Check the last read-back." in rig.said


def test_while_it_speaks_it_does_not_listen(rig: Rig) -> None:
    room = rig.room(1)
    rig.live([heard(BASELINE)], deaf=True).run(room)
    assert room.dropped >= 2


def test_an_unplugged_microphone_leaves_the_visit_to_be_taken_up(rig: Rig) -> None:
    room = rig.room(3)
    room.unplugged_after = len(rig.speech) // BLOCK + 200
    live = rig.live([heard(BASELINE), heard("affirm")])
    with pytest.raises(AudioError, match="went away"):
        live.run(room)
    assert not room.opened
    opened = open_visit(rig.store, "C-014", START + timedelta(minutes=5))
    assert opened.taken_up
    (waiting,) = rig.store.unconfirmed(opened.visit.visit_id)
    state = rig.live([heard("gap trial pain three"), heard("affirm")]).run(rig.room(2))
    assert waiting in state.aside


def test_a_visit_taken_up_knows_what_carries_over(rig: Rig) -> None:
    live = rig.live([heard(BASELINE), heard("affirm")])
    room = rig.room(2)
    room.unplugged_after = 2 * len(rig.speech) // BLOCK + 190
    with pytest.raises(AudioError):
        live.run(room)
    rig.live([heard("gap trial pain three"), heard("affirm")]).run(rig.room(2))
    records = rig.store.records(only_visit(rig))
    assert [r.content.model_dump()["joint"] for r in records] == ["ankle", "ankle"]


def test_stop_ends_the_visit_between_two_blocks(rig: Rig) -> None:
    live = rig.live([heard(BASELINE)])
    room = rig.room(5)
    room.on_block = lambda number: live.keys.put("stop") if number == 20 else None
    live.run(room)
    assert rig.store.visits()[0].ended_at is not None
    assert rig.kinds() == ["ended"]


def test_keys_affirm_and_pause(rig: Rig) -> None:
    live = rig.live([heard(BASELINE), heard("gap trial pain three")])
    room = rig.room(2)
    after_first = (2 * RATE_HZ + len(rig.speech)) // BLOCK + 60
    pressed = {after_first: "affirm", after_first + 1: "pause"}

    def press(number: int) -> None:
        if number in pressed:
            live.keys.put(pressed[number])  # type: ignore[arg-type]

    room.on_block = press
    state = live.run(room)
    assert len(state.records) == 1
    assert rig.store.unconfirmed(only_visit(rig)) == ()


def test_a_store_that_fails_is_told_and_tried_again(
    rig: Rig, monkeypatch: pytest.MonkeyPatch
) -> None:
    real = rig.store.append
    calls = {"count": 0}

    def failing(entry: object, clips: object = ()) -> None:
        calls["count"] += 1
        if calls["count"] == 2:
            raise StoreError("The disk is full", do="Make room")
        real(entry, clips)  # type: ignore[arg-type]

    monkeypatch.setattr(rig.store, "append", failing)
    rig.live([heard(BASELINE), heard("affirm"), heard("affirm")]).run(rig.room(3))
    assert "trouble" in rig.kinds()
    assert any(text.startswith("Not saved. The disk is full.") for text in rig.said)
    (record,) = rig.store.records(only_visit(rig))
    assert len(rig.store.clips(record.entry_id)) == 1


def test_a_microphone_that_was_gone_is_said_and_the_gap_is_marked(rig: Rig) -> None:
    room = rig.room(2)
    first = (2 * RATE_HZ + len(rig.speech)) // BLOCK + 60
    room.gone, room.lost_before = range(first, first + 8), first + 8
    state = rig.live([heard(BASELINE), heard("affirm")]).run(room)
    assert rig.kinds().count("gone") == 1
    (back,) = [h for h in rig.happenings if h.kind == "back"]
    assert back.facts == {"seconds": 0.5}
    assert "I hear nothing: the microphone is gone. I go on when it is back." in rig.said
    assert "The microphone is back. 1 seconds were not heard." in rig.said
    assert len(state.records) == 1


def test_while_the_microphone_is_gone_keys_still_work(rig: Rig) -> None:
    live = rig.live([heard(BASELINE)])
    room = rig.room(1)
    first = (2 * RATE_HZ + len(rig.speech)) // BLOCK + 60
    room.gone = range(first, first + 8)
    room.on_block = lambda number: live.keys.put("affirm") if number == first + 4 else None
    assert len(live.run(room).records) == 1


def test_an_utterance_on_which_the_engine_failed_is_said_again(rig: Rig) -> None:
    live = rig.live([heard(BASELINE), heard("affirm")])
    failing(live, rig, {1})
    state = live.run(rig.room(3))
    assert "I could not hear that. Say it again." in rig.said
    assert "trouble" in rig.kinds()
    assert len(state.records) == 1


def test_an_engine_that_fails_three_times_in_a_row_ends_the_listening(rig: Rig) -> None:
    live = rig.live([heard(BASELINE)])
    failing(live, rig, {2, 3, 4})
    with pytest.raises(RecogniserError, match="hung"):
        live.run(rig.room(5))
    assert len(rig.store.unconfirmed(only_visit(rig))) == 1
    assert rig.store.visits()[0].ended_at is None


def test_a_yes_to_a_read_back_that_could_not_be_said_reads_it_back_again(rig: Rig) -> None:
    live = rig.live([heard(BASELINE), heard("affirm"), heard("affirm")])
    rig.silent_for = 1
    state = live.run(rig.room(3))
    read_back = "left ankle, dorsiflexion, baseline, twelve degrees, one two, pain six"
    assert [text for text in rig.said if text == read_back] == [read_back]
    assert rig.kinds().count("trouble") == 1
    assert len(state.records) == 1
    assert rig.said.index(read_back) < rig.said.index("Saved")


def test_breaking_off_leaves_the_visit_open(rig: Rig) -> None:
    live = rig.live([heard(BASELINE)])
    room = rig.room(5)
    room.on_block = lambda number: live.keys.put("break off") if number == 400 else None
    live.run(room)
    assert rig.store.visits()[0].ended_at is None
    assert "ended" not in rig.kinds()


def test_an_old_broken_visit_is_not_taken_up(rig: Rig) -> None:
    first = open_visit(rig.store, "C-014", START)
    later = open_visit(rig.store, "C-014", START + timedelta(days=2))
    assert not first.taken_up
    assert not later.taken_up
    assert later.visit.visit_id != first.visit.visit_id


def test_a_visit_is_taken_up_although_the_clock_was_set_back(rig: Rig) -> None:
    first = open_visit(rig.store, "C-014", START)
    again = open_visit(rig.store, "C-014", START - timedelta(days=30))
    assert again.taken_up
    assert again.visit == first.visit


def test_the_state_starts_empty_for_a_new_visit(rig: Rig) -> None:
    live = rig.live([])
    assert isinstance(live.state, State)
    assert (live.state.records, live.state.aside, live.state.carried) == ((), (), None)
