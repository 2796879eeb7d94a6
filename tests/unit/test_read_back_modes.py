"""How much is read back, and in which order, as the practice has set it."""

from dataclasses import replace
from typing import Any

from voicelog.dialogue import prompts
from voicelog.dialogue.actions import Save, Say
from voicelog.grammar.language import LanguageData
from voicelog.records.content import Trial

BASELINE = "left ankle dorsiflexion baseline twelve degrees pain six"
GAP = "gap trial sixteen degrees pain three"


def having(talk: Any, read_back: str) -> Any:
    talk.state = replace(talk.state, setting=replace(talk.state.setting, read_back=read_back))
    return talk


def aloud(talk: Any) -> list[str]:
    return [act.text for act in talk.actions if isinstance(act, Say) and act.aloud]


def test_with_doubtful_only_the_movement_is_left_out_where_it_is_that_of_before(talk: Any) -> None:
    having(talk, "doubtful").say(BASELINE)
    assert talk.answer.startswith("left ankle, dorsiflexion, baseline")
    talk.say("affirm").say(GAP)
    assert talk.answer == "gap trial, sixteen degrees, one six, pain three"


def test_with_doubtful_only_another_movement_is_read_back_in_full(talk: Any) -> None:
    having(talk, "doubtful").say(BASELINE).say("affirm")
    talk.say("right ankle dorsiflexion gap trial pain three")
    assert talk.answer == "right ankle, dorsiflexion, gap trial, pain three"
    talk.say("negative").say("gap trial standing pain three")
    assert talk.answer.startswith("left ankle, dorsiflexion, standing")


def test_with_doubtful_only_a_doubt_is_asked_first(talk: Any) -> None:
    having(talk, "doubtful").say(BASELINE).say("affirm").say(GAP, doubtful=("pain",))
    assert talk.answer == "pain three?"
    talk.say("affirm")
    assert talk.answer == "gap trial, sixteen degrees, one six, pain three"


def test_with_doubtful_only_a_correction_of_a_record_is_read_back_in_full(talk: Any) -> None:
    having(talk, "doubtful").say(BASELINE).say("affirm").say("correction pain five")
    assert talk.answer.startswith("correction, left ankle, dorsiflexion, baseline")


def test_with_doubtful_only_a_drill_is_read_back_in_full(talk: Any) -> None:
    having(talk, "doubtful").say("neck flexion baseline pain two").say("affirm")
    talk.say("drill heel raise three sets of eight")
    assert talk.answer == "drill, heel raise, three sets of eight"


def test_what_was_said_stands_with_the_affirmation(talk: Any) -> None:
    having(talk, "doubtful").say(BASELINE).say("affirm").say(GAP).say("affirm")
    affirmed = [act.entry.affirmed for act in talk.actions if isinstance(act, Save)][-1]
    assert affirmed is not None
    assert affirmed.read_back == "gap trial, sixteen degrees, one six, pain three"


def test_what_a_record_changes_is_said_with_saved_and_said_again(talk: Any) -> None:
    talk.remark = "Pain 6 to 3."
    talk.say(BASELINE).say("affirm")
    assert talk.answer == "Saved. Pain 6 to 3."
    talk.say("say again")
    assert talk.answers[-2:] == ["Saved. Pain 6 to 3."] * 2


def test_with_tones_what_a_record_changes_is_spoken_even_so(talk: Any) -> None:
    talk.remark = "Pain 6 to 3."
    having(talk, "tones").say(BASELINE).say("affirm")
    assert aloud(talk) == ["Saved. Pain 6 to 3."]


def test_with_tones_a_record_is_shown_and_not_spoken(talk: Any) -> None:
    having(talk, "tones").say(BASELINE).say("affirm")
    assert aloud(talk) == []
    assert talk.tones == ["heard", "saved"]
    shown = next(act for act in talk.actions if isinstance(act, Say))
    assert shown.text.startswith("left ankle, dorsiflexion")


def test_with_tones_questions_warnings_and_say_again_are_spoken(talk: Any) -> None:
    having(talk, "tones").say("left ankle dorsiflexion baseline")
    assert aloud(talk) == ["Pain?"]
    talk.say("pain six").say("say again")
    assert aloud(talk)[-1].startswith("left ankle")
    talk.say("affirm").say("gap trial pain three numb")
    assert any("Stop" in text for text in aloud(talk))


def test_the_read_back_follows_the_order_of_the_language(language: LanguageData) -> None:
    first = ["pain", "phase"]
    rest = [part for part in language.read_back_order if part not in first]
    own = language.model_copy(update={"read_back_order": [*first, *rest]})
    said = Trial(side="left", joint="ankle", motion="dorsiflexion", phase="gap", pain=3)
    assert prompts.read_back(own, said) == "pain three, gap trial, left ankle, dorsiflexion"
