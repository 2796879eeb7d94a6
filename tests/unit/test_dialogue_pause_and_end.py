"""Pauses, and the end of a visit: what is taken there and what is not."""

from typing import Any

import pytest

from tests.unit.trials import trial

BASELINE = "left ankle dorsiflexion baseline twelve degrees pain six"
READ_BACK = "left ankle, dorsiflexion, baseline, twelve degrees, one two, pain six"


def test_nothing_is_taken_while_standing_by(talk: Any) -> None:
    talk.say(BASELINE).say("stand by")
    for said in ("affirm", "retest pain one", "disregard", "close visit"):
        talk.say(said)
    assert talk.records == []
    talk.say("go ahead")
    assert talk.answer.startswith("left ankle")
    talk.say("affirm")
    assert len(talk.records) == 1


def test_the_pause_and_its_end_have_tones_of_their_own(talk: Any) -> None:
    talk.say("stand by").say("go ahead")
    assert talk.tones == ["paused", "ready"]


@pytest.mark.parametrize("said", ["retest pain one", "correction pain one"])
def test_what_was_begun_before_the_pause_and_ends_in_it_is_not_taken(talk: Any, said: str) -> None:
    talk.say(BASELINE).say("affirm").press("stand by").say(said, begun="any")
    assert talk.unconfirmed == []
    talk.press("go ahead").say("read back")
    assert talk.answer == READ_BACK


def test_the_end_is_asked_back_with_what_is_not_affirmed(talk: Any) -> None:
    talk.say(BASELINE).say("affirm").say("gap trial pain two").say("retest pain one").say(
        "close visit"
    )
    assert "1 saved, 2 not affirmed" in talk.answer
    talk.say("negative").say("affirm").say("close visit").say("affirm")
    assert talk.answer == "Visit ended"
    assert len(talk.records) == 2
    assert talk.store.visits()[0].ended_at is not None
    assert talk.say("retest pain one").records == talk.records


@pytest.mark.parametrize("word", ["disregard", "read back", "stand by", "close visit"])
def test_while_the_end_is_asked_only_yes_no_and_say_again_act(talk: Any, word: str) -> None:
    asked = talk.say(BASELINE).say("close visit").state
    talk.say(word)
    assert talk.state == asked
    assert talk.unconfirmed != []


def test_a_dictation_after_the_end_was_asked_goes_on_with_the_visit(talk: Any) -> None:
    talk.say(BASELINE).say("affirm").say("close visit").say("retest eighteen degrees pain one")
    assert talk.answer.startswith("left ankle, dorsiflexion, retest")
    talk.say("affirm")
    assert len(talk.records) == 2
    assert talk.state.mode == "listening"


def test_when_the_sound_ends_what_is_open_stays_unconfirmed(talk: Any) -> None:
    talk.say(BASELINE).stop()
    assert talk.unconfirmed == [trial(phase="baseline", range_deg=12, pain=6)]
    assert talk.records == []


def test_a_yes_by_key_behind_the_end_saves_nothing(talk: Any) -> None:
    done = list(talk.say(BASELINE).stop().actions)
    talk.press("affirm")
    assert talk.records == []
    assert talk.actions == done


def test_before_anything_was_said_there_is_nothing_to_say_again(talk: Any) -> None:
    talk.say("say again")
    assert talk.actions == []
