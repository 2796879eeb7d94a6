"""The practice's defaults for manner, position and instrument: filled in, and never as if said."""

from dataclasses import replace
from typing import Any

import pytest
from pydantic import ValidationError

from voicelog.desk.fields import fields
from voicelog.exports import wording
from voicelog.grammar.language import LanguageData
from voicelog.records.content import Trial

DEFAULTS = {
    "all": {"manner": "active", "instrument": "goniometer"},
    "ankle": {"manner": "weight bearing", "position": "standing"},
    "neck": {"instrument": ""},
}
ANKLE = "left ankle dorsiflexion baseline twelve degrees pain six"


@pytest.fixture
def practised(talk: Any) -> Any:
    setting = replace(talk.state.setting, defaults=DEFAULTS)
    talk.state = replace(talk.state, setting=setting)
    return talk


def test_a_short_dictation_gets_the_defaults_of_its_joint_before_those_of_all(
    practised: Any,
) -> None:
    practised.say(ANKLE).say("affirm")
    record = practised.records[-1]
    assert (record.manner, record.position, record.instrument) == (
        "weight bearing",
        "standing",
        "goniometer",
    )
    assert set(record.by_default) == {"manner", "position", "instrument"}


def test_defaults_are_read_back_as_such(practised: Any) -> None:
    practised.say("left knee flexion baseline ninety degrees pain six")
    assert practised.answer.endswith("pain six, by default active, goniometer")


def test_what_is_said_goes_before_a_default_and_is_none(practised: Any) -> None:
    practised.say("left knee passive flexion baseline ninety degrees pain six").say("affirm")
    assert practised.records[-1].manner == "passive"
    assert practised.records[-1].by_default == ("instrument",)


def test_a_correction_makes_a_default_something_that_was_said(practised: Any) -> None:
    practised.say("left knee flexion baseline pain six").say("correction passive")
    assert practised.answer == "left knee, passive, flexion, baseline, pain six"


def test_an_instrument_is_taken_only_where_degrees_were_said(practised: Any) -> None:
    practised.say("left knee flexion baseline pain six").say("correction ninety degrees")
    practised.say("affirm")
    assert practised.records[-1].instrument == "goniometer"
    practised.say("left hip flexion baseline pain six").say("affirm")
    assert practised.records[-1].instrument is None


def test_a_joint_may_have_no_default_where_all_others_have(practised: Any) -> None:
    practised.say("neck flexion baseline forty degrees pain two").say("affirm")
    assert practised.records[-1].instrument is None
    assert practised.records[-1].by_default == ("manner",)


def test_what_was_said_once_stays_said_while_the_movement_is_the_same(practised: Any) -> None:
    practised.say("left knee passive flexion baseline pain six").say("affirm")
    practised.say("gap trial pain three").say("affirm")
    assert practised.records[-1].manner == "passive"
    assert practised.records[-1].by_default == ()


def test_the_correction_of_the_joint_leaves_no_default_of_the_other(practised: Any) -> None:
    practised.say(ANKLE).say("correction knee flexion").say("affirm")
    record = practised.records[-1]
    assert (record.joint, record.manner, record.position) == ("knee", "active", None)
    assert set(record.by_default) == {"manner", "instrument"}


def test_a_question_for_the_joint_brings_the_defaults_of_that_joint(practised: Any) -> None:
    practised.say("left dorsiflexion baseline pain six")
    assert practised.answer == "Which joint?"
    practised.say("ankle").say("affirm")
    assert practised.records[-1].manner == "weight bearing"


def test_the_correction_of_an_old_record_adds_no_default(talk: Any) -> None:
    talk.say("left knee flexion baseline ninety degrees pain six").say("affirm")
    talk.state = replace(talk.state, setting=replace(talk.state.setting, defaults=DEFAULTS))
    talk.say("correction pain five").say("affirm")
    assert talk.records[-1].manner is None
    assert talk.records[-1].by_default == ()


def test_a_slot_without_a_value_cannot_hold_a_default() -> None:
    with pytest.raises(ValidationError):
        Trial(by_default=("manner",))


def test_a_note_marks_what_is_a_default(language: LanguageData) -> None:
    said = Trial(manner="active", instrument="goniometer", by_default=("manner",))
    assert wording.remarks(said, language) == "active (default), measured with goniometer"


def test_a_form_marks_what_is_a_default_and_keeps_it_one(language: LanguageData) -> None:
    said = Trial(manner="active", instrument="goniometer", by_default=("manner",))
    shown = {
        f.name: [o.label for o in f.options if o.value == f.value] for f in fields(said, language)
    }
    assert (shown["manner"], shown["instrument"]) == (["active (default)"], ["goniometer"])
