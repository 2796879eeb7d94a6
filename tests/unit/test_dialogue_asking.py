"""What is missing, unusual or unsure is asked back."""

from typing import Any

import pytest

from tests.unit.trials import trial
from voicelog.dialogue.events import Heard
from voicelog.grammar.interpret import Interpretation
from voicelog.records.content import Trial
from voicelog.records.entry import Evidence


@pytest.mark.parametrize(
    ("said", "question", "answered"),
    [
        ("ankle dorsiflexion baseline pain six", "Which side?", "left"),
        ("left ankle dorsiflexion pain six", "Which trial?", "baseline"),
        ("left ankle baseline pain six", "Which motion?", "dorsiflexion"),
        ("left dorsiflexion baseline pain six", "Which joint?", "ankle"),
        ("left ankle dorsiflexion baseline", "Pain?", "pain six"),
        ("left ankle dorsiflexion baseline", "Pain?", "six"),
    ],
)
def test_what_is_missing_is_asked_for(talk: Any, said: str, question: str, answered: str) -> None:
    talk.say(said)
    assert talk.answer == question
    talk.say(answered)
    assert talk.records == []
    talk.say("affirm")
    assert talk.records == [trial(phase="baseline", pain=6)]


def test_an_affirmation_to_a_question_saves_nothing(talk: Any) -> None:
    talk.say("left ankle dorsiflexion baseline").say("affirm")
    assert talk.answer == "Pain?"
    assert talk.records == []


def test_a_new_dictation_leaves_an_open_question_aside(talk: Any) -> None:
    talk.say("left ankle dorsiflexion baseline").say("right knee flexion retest pain two")
    talk.say("affirm")
    assert talk.records == [
        Trial(side="right", joint="knee", motion="flexion", phase="retest", pain=2)
    ]
    assert talk.unconfirmed == [trial(phase="baseline")]


def test_what_comes_behind_a_read_back_is_no_answer_but_another_trial(talk: Any) -> None:
    talk.say("left ankle dorsiflexion baseline pain six")
    talk.say("left ankle dorsiflexion baseline pain six twelve degrees")
    assert len(talk.unconfirmed) == 2


def test_a_fault_does_not_answer_for_the_name_of_a_drill(talk: Any) -> None:
    talk.say("drill heel raise three sets of eight", doubtful=("name",)).say("fault heel lifting")
    assert [content.kind for content in talk.unconfirmed] == ["drill", "fault"]


def test_an_unusual_angle_is_asked_back_and_can_be_affirmed(talk: Any) -> None:
    talk.say("left ankle dorsiflexion baseline ninety degrees pain two")
    assert talk.answer.startswith("ninety degrees, nine zero? Unusual")
    talk.say("affirm")
    assert talk.records == []
    assert talk.answer.startswith("left ankle")
    talk.say("affirm")
    assert talk.records == [trial(phase="baseline", range_deg=90, pain=2)]


@pytest.mark.parametrize("answers", [["nineteen degrees"], ["nineteen"], ["negative", "nineteen"]])
def test_an_unusual_angle_can_be_answered_with_the_right_one(talk: Any, answers: list[str]) -> None:
    talk.say("left ankle dorsiflexion baseline ninety degrees pain two")
    for answer in answers:
        talk.say(answer)
    talk.say("affirm")
    assert talk.records == [trial(phase="baseline", range_deg=19, pain=2)]


def test_only_the_doubtful_slot_is_asked_back(talk: Any) -> None:
    talk.say("left ankle dorsiflexion gap trial ten degrees pain three", doubtful=("pain",))
    assert talk.answer == "pain three?"
    talk.say("pain two")
    talk.say("affirm")
    assert talk.records == [trial(phase="gap", range_deg=10, pain=2)]


def test_a_doubtful_angle_of_onset_is_asked_back_as_such(talk: Any) -> None:
    talk.say(
        "left ankle dorsiflexion gap trial pain starts at ten degrees pain three",
        doubtful=("onset_deg",),
    )
    assert talk.answer == "pain starts at ten degrees, one zero?"
    talk.say("affirm").say("affirm")
    assert (talk.records[0].onset_deg, talk.records[0].range_deg) == (10, None)


def test_a_mere_angle_answers_the_question_for_the_start_of_pain(talk: Any) -> None:
    talk.say(
        "left ankle dorsiflexion gap trial pain starts at ten degrees end range twenty pain three",
        doubtful=("onset_deg",),
    )
    talk.say("twelve degrees")
    talk.say("affirm")
    assert (talk.records[0].onset_deg, talk.records[0].range_deg) == (12, 20)


def test_a_doubtful_slot_that_was_right_is_affirmed_before_the_whole(talk: Any) -> None:
    talk.say("left ankle dorsiflexion gap trial pain three", doubtful=("pain",)).say("affirm")
    assert talk.records == []
    assert talk.answer == "left ankle, dorsiflexion, gap trial, pain three"
    talk.say("affirm")
    assert talk.records == [trial(phase="gap", pain=3)]


def mumbled(talk: Any) -> Heard:
    """What could be a command, but not for sure."""
    meant = Interpretation(False, "unsure command", None, 0.6, "affirm")
    evidence = Evidence(text="affirm", confidence=0.6, engine="w", model="w", grammar_version="0")
    return Heard(meant, evidence, "none", talk.now)


@pytest.mark.parametrize("then", ["affirm", "how does that feel now", "disregard"])
def test_a_yes_that_cannot_be_told_is_asked_for_in_the_form_heard_best(
    talk: Any, then: str
) -> None:
    talk.say("left ankle dorsiflexion baseline pain six").feed(mumbled(talk))
    assert talk.answer == "Save record, or wrong record?"
    assert talk.state.unsure
    assert talk.records == []
    talk.say(then)
    assert not talk.state.unsure


def test_a_yes_to_the_end_of_the_visit_is_asked_for_in_its_own_words(talk: Any) -> None:
    talk.say("close visit").feed(mumbled(talk))
    assert talk.answer == "Affirmative, or negative?"
    assert talk.state.unsure


def test_a_key_settles_what_could_not_be_told(talk: Any) -> None:
    talk.say("left ankle dorsiflexion baseline pain six").feed(mumbled(talk)).press("affirm")
    assert not talk.state.unsure
    assert talk.records == [trial(phase="baseline", pain=6)]


def test_nothing_is_asked_where_nothing_waits_for_a_yes(talk: Any) -> None:
    talk.feed(mumbled(talk))
    assert talk.actions == []
    assert not talk.state.unsure


def test_a_joint_carries_over_only_to_a_motion_that_it_has(talk: Any) -> None:
    """An ankle has no external rotation, so whose it is must be asked."""
    talk.say("left ankle dorsiflexion baseline pain six").say("affirm")
    talk.say("external rotation baseline pain three")
    assert talk.answer == "Which joint?"


def test_a_joint_carries_over_to_another_motion_that_it_has(talk: Any) -> None:
    talk.say("left ankle dorsiflexion baseline pain six").say("affirm")
    talk.say("plantar flexion baseline pain three").say("affirm")
    assert (talk.records[-1].joint, talk.records[-1].motion) == ("ankle", "plantarflexion")
