"""A trial that the safety screen speaks against: asked back once, recorded all the same."""

from collections.abc import Callable
from dataclasses import replace
from typing import Any

import pytest

from voicelog.records.content import Trial

GAP = "left ankle dorsiflexion gap trial pain three"


@pytest.fixture
def talk(make_talk: Callable[[], Any]) -> Any:
    """A visit whose screen speaks against gap trials."""
    talk = make_talk()
    setting = replace(talk.state.setting, cautions={("gap", None): "No gap trial."})
    talk.state = replace(talk.state, setting=setting)
    return talk


def test_a_trial_that_the_screen_speaks_against_is_asked_back(talk: Any) -> None:
    talk.say(GAP)
    assert talk.answer == (
        "The screen says: No gap trial. Gap trial all the same? Affirmative, or negative."
    )
    assert talk.tones[-1] == "ask"
    assert talk.records == []


def test_what_happened_is_recorded_all_the_same(talk: Any) -> None:
    talk.say(GAP).say("affirm")
    assert talk.answer.startswith("left ankle, dorsiflexion, gap trial")
    talk.say("affirm")
    assert [record.phase for record in talk.records] == ["gap"]


def test_a_caution_that_waits_still_waits_after_going_on(talk: Any) -> None:
    talk.say(GAP)
    asked = talk.answer
    talk.say("close visit").say("negative")
    assert talk.answer == asked
    assert talk.say("affirm").records == []


def test_a_no_asks_which_trial_it_was(talk: Any) -> None:
    talk.say(GAP).say("negative")
    assert talk.answer == "Which trial?"
    talk.say("retest").say("affirm")
    assert talk.records == [
        Trial(side="left", joint="ankle", motion="dorsiflexion", phase="retest", pain=3)
    ]


def test_the_caution_is_said_once_in_a_visit(talk: Any) -> None:
    talk.say(GAP).say("affirm").say("affirm")
    talk.say("gap trial pain two")
    assert talk.answer.startswith("left ankle, dorsiflexion, gap trial")
    talk.say("affirm")
    assert [record.pain for record in talk.records] == [3, 2]


def test_a_caution_for_one_joint_is_said_there_only(make_talk: Callable[[], Any]) -> None:
    talk = make_talk()
    setting = replace(talk.state.setting, cautions={("gap", "ankle"): "No gap trial."})
    talk.state = replace(talk.state, setting=setting)
    talk.say("left knee flexion gap trial pain three")
    assert talk.answer.startswith("left knee, flexion, gap trial")
    talk.say("affirm").say(GAP)
    assert talk.answer.startswith("The screen says: No gap trial.")


def test_what_waits_for_the_answer_is_kept_as_unconfirmed(talk: Any) -> None:
    talk.say(GAP).stop()
    assert [trial.pain for trial in talk.unconfirmed] == [3]


def test_a_missing_slot_is_asked_for_first(talk: Any) -> None:
    talk.say("ankle dorsiflexion gap trial pain three")
    assert talk.answer == "Which side?"
    talk.say("left")
    assert talk.answer.startswith("The screen says: No gap trial.")


def test_a_trial_of_the_other_kind_is_not_asked_back(talk: Any) -> None:
    talk.say("left ankle dorsiflexion compression trial pain three")
    assert talk.answer.startswith("left ankle, dorsiflexion, compression trial")
