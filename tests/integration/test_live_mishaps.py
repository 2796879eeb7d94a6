"""What goes wrong while listening: the microphone, the engine, the store, the voice."""

from collections.abc import Sequence
from datetime import datetime, timedelta

import pytest

from tests.integration.live_rig import BASELINE, BLOCK, START, Rig, heard, only_visit
from voicelog.audio.base import RATE_HZ
from voicelog.errors import AudioError, RecogniserError, StoreError
from voicelog.grammar.hypothesis import HeardWord, Hypothesis, Reading
from voicelog.listening.live import Live
from voicelog.records.content import Note
from voicelog.records.entry import Entry
from voicelog.store.base import Clip
from voicelog.visits import open_visit

READ_BACK = "left ankle, dorsiflexion, baseline, twelve degrees, one two, pain six"


def failing(live: Live, rig: Rig, utterances: set[int]) -> None:
    """Let the engine fail on the utterances of these numbers, counted from 1."""
    recogniser = live._edges.hearing.recogniser
    heard_well, count = recogniser.end, 0

    def end(cleaned: bool = False) -> Hypothesis:
        nonlocal count
        count += 1
        if count in utterances:
            raise RecogniserError("The speech engine has hung and was started anew")
        return heard_well()

    recogniser.end = end  # type: ignore[method-assign]


def test_lost_sound_is_said(rig: Rig) -> None:
    room = rig.room(1)
    room.lost_before = 5
    rig.live([heard(BASELINE)]).run(room)
    assert "lost" in rig.kinds()
    assert "Some sound was lost. Check the last read-back." in rig.said


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
    assert rig.said.count(READ_BACK) == 1
    assert rig.kinds().count("trouble") == 1
    assert len(state.records) == 1
    assert rig.said.index(READ_BACK) < rig.said.index("Saved")


def test_a_yes_after_a_headset_came_back_hears_first_what_it_would_affirm(rig: Rig) -> None:
    live = rig.live([heard(BASELINE), heard("affirm"), heard("affirm")])
    room = rig.room(3)
    first = (2 * RATE_HZ + len(rig.speech)) // BLOCK + 60
    room.gone, room.lost_before = range(first, first + 8), first + 8
    rig.silent_for = 2  # the read-back, and that the microphone is gone
    state = live.run(room)
    assert len(state.records) == 1
    assert rig.said.index("The microphone is back. 1 seconds were not heard.") < rig.said.index(
        READ_BACK
    )
    assert rig.said.index(READ_BACK) < rig.said.index("Saved")


def test_a_read_back_that_was_replaced_is_not_made_up_for(rig: Rig) -> None:
    live = rig.live([heard(BASELINE), heard("correction pain five"), heard("affirm")])
    rig.silent_for = 1
    state = live.run(rig.room(3))
    assert READ_BACK not in rig.said
    assert [record.content.pain for record in state.records] == [5]  # type: ignore[union-attr]


@pytest.mark.parametrize(
    "second", ["left ankle dorsiflexion gap trial twenty degrees pain three", "affirm"]
)
def test_sound_goes_with_the_entry_it_led_to_when_that_is_written_late(
    rig: Rig, monkeypatch: pytest.MonkeyPatch, second: str
) -> None:
    real, calls = rig.store.append, 0

    def failing(entry: Entry, clips: Sequence[Clip] = ()) -> None:
        nonlocal calls
        calls += 1
        if calls == 1:
            raise StoreError("The disk is full")
        real(entry, clips)

    monkeypatch.setattr(rig.store, "append", failing)
    rig.live([heard(BASELINE), heard(second), heard("affirm")]).run(rig.room(3))
    visit = only_visit(rig)
    entries = (*rig.store.records(visit), *rig.store.unconfirmed(visit))
    told = {e.content.phase: [c.text for c in rig.store.clips(e.entry_id)] for e in entries}  # type: ignore[union-attr]
    wanted = {"baseline": [BASELINE]} | ({"gap": [second]} if second != "affirm" else {})
    assert told == wanted


def test_an_end_that_cannot_be_written_is_not_said_to_be_one(
    rig: Rig, monkeypatch: pytest.MonkeyPatch
) -> None:
    def failing(visit_id: str, at: datetime) -> None:
        raise StoreError("The disk is full")

    monkeypatch.setattr(rig.store, "end_visit", failing)
    rig.live([heard("close visit"), heard("affirm")]).run(rig.room(2))
    assert "Visit ended" not in rig.said
    assert "The end is not kept. The disk is full. Say close visit to try again." in rig.said
    assert "ended" not in rig.kinds()


def test_a_note_is_taken_from_the_reading_that_opens_it(rig: Rig) -> None:
    no = Reading((HeardWord("no", 0, 100, 0.9),))
    note = Reading((HeardWord("note", 0, 100, 0.9), HeardWord("b", 100, 200, 0.9)), -0.1)
    rig.live([Hypothesis((no, note), 0.9999, "scripted", "script", 0.0)]).run(rig.room(1))
    (waiting,) = rig.store.unconfirmed(only_visit(rig))
    assert waiting.content == Note(text="as heard")
