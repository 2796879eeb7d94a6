"""Keys and foot switches while a visit is listened to: what an answer by key is an answer to."""

import time

import pytest

from tests.integration.live_rig import BASELINE, BLOCK, Rig, heard, only_visit
from voicelog.audio.base import RATE_HZ
from voicelog.dialogue.state import State
from voicelog.grammar.hypothesis import HeardWord, Hypothesis, Reading
from voicelog.listening.presses import HELD_S, Key

READ_BACK = "left ankle, dorsiflexion, baseline, twelve degrees, one two, pain six"


def test_a_key_pressed_before_the_read_back_is_no_yes_to_it(rig: Rig) -> None:
    live = rig.live([heard(BASELINE)])
    recogniser = live._edges.hearing.recogniser
    heard_well = recogniser.end

    def end(cleaned: bool = False) -> Hypothesis:
        live.keys.put("affirm")
        return heard_well()

    recogniser.end = end  # type: ignore[method-assign]
    state = live.run(rig.room(1))
    assert READ_BACK in rig.said
    assert state.records == ()
    assert rig.said[-1] == "(ask)"


@pytest.mark.parametrize("blocks_apart", [0, 1])
def test_a_switch_that_bounces_answers_one_question_only(rig: Rig, blocks_apart: int) -> None:
    state = pressed_twice(rig, "affirm", blocks_apart)
    assert READ_BACK in rig.said
    assert state.records == ()


@pytest.mark.parametrize("blocks_apart", [0, 1])
def test_a_no_that_bounces_takes_the_value_and_not_the_trial(rig: Rig, blocks_apart: int) -> None:
    pressed_twice(rig, "negative", blocks_apart)
    assert rig.said[-1] == "Pain?"
    (waiting,) = rig.store.unconfirmed(only_visit(rig))
    assert waiting.content.range_deg == 12  # type: ignore[union-attr]


def test_a_no_is_none_to_a_question_that_was_not_asked_yet(rig: Rig) -> None:
    """She pressed again while the tool was busy with her first no."""
    pressed_twice(rig, "negative", 0, seconds_apart=HELD_S + 0.01)
    assert rig.said[-2:] == ["Pain?", "(ask)"]
    assert len(rig.store.unconfirmed(only_visit(rig))) == 1


def pressed_twice(rig: Rig, key: Key, blocks_apart: int, seconds_apart: float = 0) -> State:
    """The key pressed twice when the pain of a dictated trial was read back as doubtful."""
    words = tuple(
        HeardWord(w, 100 * i, 100 * i + 100, 0.3 if w == "six" else 0.99)
        for i, w in enumerate(BASELINE.split())
    )
    live = rig.live([Hypothesis((Reading(words),), 0.99, "scripted", "script", 0.0)])
    room = rig.room(1)
    first = (2 * RATE_HZ + len(rig.speech)) // BLOCK + 60

    def press(number: int) -> None:
        if number == first:
            live.keys.put(key)
        if number == first + blocks_apart:
            time.sleep(seconds_apart)
            live.keys.put(key)

    room.on_block = press
    state = live.run(room)
    assert "pain six?" in rig.said
    return state
