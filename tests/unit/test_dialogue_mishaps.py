"""The dialogue when the store, the microphone or the value itself is not as it should be."""

from typing import Any

import pytest

from tests.unit.trials import trial
from voicelog.dialogue.events import SoundBack, SoundGone
from voicelog.records.content import Drill

BASELINE = "left ankle dorsiflexion baseline twelve degrees pain six"
READ_BACK = "left ankle, dorsiflexion, baseline, twelve degrees, one two, pain six"
GAP = "left ankle dorsiflexion gap trial twenty degrees pain three"
WHOLE = trial(phase="baseline", range_deg=12, pain=6)


def test_what_was_set_aside_unkept_is_kept_with_the_next_record(talk: Any) -> None:
    talk.broken = True
    talk.say(BASELINE).say(GAP)
    assert (
        "What was set aside is not kept yet. The disk is full. I try again with the next record."
        in talk.answers
    )
    assert talk.unconfirmed == []
    talk.broken = False
    talk.say("affirm")
    assert talk.records == [trial(phase="gap", range_deg=20, pain=3)]
    assert talk.unconfirmed == [WHOLE]


def test_what_was_never_kept_is_kept_at_the_end(talk: Any) -> None:
    talk.broken = True
    talk.say(BASELINE).say(GAP)
    talk.broken = False
    talk.stop()
    assert talk.unconfirmed == [WHOLE, trial(phase="gap", range_deg=20, pain=3)]
    assert all(talk.state.is_kept(entry) for entry in talk.state.unaffirmed)


def test_what_was_never_kept_is_kept_at_an_end_that_was_affirmed(talk: Any) -> None:
    talk.broken = True
    talk.say(BASELINE)
    talk.broken = False
    talk.say("close visit").say("affirm")
    assert talk.answer == "Visit ended"
    assert talk.unconfirmed == [WHOLE]


def test_a_correction_that_was_set_aside_and_made_again_is_not_open_any_more(talk: Any) -> None:
    talk.say(BASELINE).say("affirm").say("correction pain five").say(GAP).say("disregard")
    talk.say("correction pain four").say("affirm").say("close visit")
    assert talk.records == [trial(phase="baseline", range_deg=12, pain=4)]
    assert talk.answer == "End of visit? 1 saved. Affirmative, or negative?"


def test_what_was_set_aside_and_kept_late_is_still_told_at_the_end(talk: Any) -> None:
    talk.broken = True
    talk.say(BASELINE).say(GAP)
    talk.broken = False
    talk.say("affirm").say("close visit")
    assert talk.answer.startswith("End of visit? 1 saved, 1 not affirmed")
    assert READ_BACK in talk.answer


def test_what_was_set_aside_and_kept_at_the_end_is_no_record(talk: Any) -> None:
    talk.broken = True
    talk.say(BASELINE).say(GAP).say("disregard")
    talk.broken = False
    talk.say("close visit").say("affirm")
    assert talk.unconfirmed == [WHOLE]
    assert talk.state.records == ()
    assert "Saved" not in talk.answers


def test_what_was_set_aside_and_is_not_kept_at_the_end_either_is_told(talk: Any) -> None:
    talk.broken = True
    talk.say(BASELINE).say(GAP).say("disregard").say("close visit").say("affirm")
    assert talk.answers[-2].startswith("What was set aside is not kept yet.")
    assert talk.unconfirmed == []


def test_an_end_that_is_not_kept_is_not_called_one(talk: Any) -> None:
    talk.say(BASELINE).say("affirm").say("close visit")
    talk.broken = True
    talk.say("affirm")
    assert talk.answer == "The end is not kept. The disk is full. Say close visit to try again."
    talk.broken = False
    talk.say("gap trial pain three").say("affirm").say("close visit").say("affirm")
    assert talk.answer == "Visit ended"
    assert len(talk.records) == 2


def test_after_the_microphone_was_gone_say_again_gives_what_is_open(talk: Any) -> None:
    talk.say(BASELINE)
    talk.feed(SoundGone()).feed(SoundBack(2.0)).say("say again")
    assert talk.answer == READ_BACK


def test_after_a_failed_write_say_again_gives_what_is_open(talk: Any) -> None:
    talk.broken = True
    talk.say(BASELINE).say("say again")
    assert talk.answer == READ_BACK


@pytest.mark.parametrize("doubtful", [(), ("pain",)])
def test_after_going_on_the_open_sentence_is_said_again(
    talk: Any, doubtful: tuple[str, ...]
) -> None:
    talk.say(BASELINE, doubtful=doubtful)
    open_sentence = talk.answer
    talk.say("close visit").say("negative")
    assert talk.answers[-2:] == ["Going on", open_sentence]
    talk.say("say again")
    assert talk.answer == open_sentence


def test_no_to_a_doubtful_drill_drops_it(talk: Any) -> None:
    talk.say("drill heel raise three sets of eight", doubtful=("name",))
    assert talk.answer == "drill, heel raise, three sets of eight?"
    talk.say("negative")
    assert talk.answer == "Dropped"
    assert talk.unconfirmed == []


def test_no_to_a_doubtful_dose_leaves_the_drill(talk: Any) -> None:
    talk.say("drill heel raise three sets of eight", doubtful=("sets",)).say("negative")
    talk.say("negative").say("affirm")
    assert talk.records == [Drill(name="heel raise", reps=8)]


@pytest.mark.parametrize(("slot", "said"), [("end_feel", "firm end feel"), ("quality", "sharp")])
def test_a_value_that_need_not_be_there_is_left_out_after_no_twice(
    talk: Any, slot: str, said: str
) -> None:
    talk.say(f"{BASELINE} {said}", doubtful=(slot,)).say("negative")
    assert talk.answer == "Say that part again?"
    talk.say("negative")
    assert talk.answer == READ_BACK
    talk.say("affirm")
    assert talk.records == [WHOLE]


def test_a_yes_is_no_answer_where_a_value_is_asked_for_anew(talk: Any) -> None:
    talk.say(f"{BASELINE} sharp", doubtful=("quality",)).say("negative").say("affirm")
    assert talk.answer == "Say that part again?"
    assert talk.records == []


@pytest.mark.parametrize(("slot", "said"), [("end_feel", "firm end feel"), ("quality", "sharp")])
def test_after_no_to_one_value_another_one_leads_on(talk: Any, slot: str, said: str) -> None:
    talk.say(f"{BASELINE} {said}", doubtful=(slot,)).say("negative").say("pain six")
    assert talk.answer == READ_BACK
    talk.say("affirm")
    assert talk.records == [WHOLE]


def test_no_twice_to_what_a_record_needs_drops_it(talk: Any) -> None:
    talk.say("left ankle dorsiflexion baseline pain six", doubtful=("pain",)).say("negative")
    assert talk.answer == "Pain?"
    talk.say("negative")
    assert (talk.answer, talk.unconfirmed) == ("Dropped", [])


@pytest.mark.parametrize(
    "said",
    [
        ("left ankle dorsiflexion baseline pain free rep", "affirm", "correction pain three"),
        ("left ankle dorsiflexion baseline pain free rep pain three",),
    ],
)
def test_a_rep_that_hurt_is_no_pain_free_one(talk: Any, said: tuple[str, ...]) -> None:
    for words in (*said, "affirm"):
        talk.say(words)
    assert talk.records == [trial(phase="baseline", pain=3)]


def test_what_does_not_fit_leaves_the_read_back_open(talk: Any) -> None:
    talk.say(BASELINE).say("correction three sets of eight")
    assert talk.answer.startswith("That does not fit.")
    talk.say("say again")
    assert talk.answer == READ_BACK


def test_the_movement_of_what_is_open_goes_with_an_answer_and_a_correction(talk: Any) -> None:
    talk.say(BASELINE).say("affirm").say("left knee flexion baseline one hundred degrees pain two")
    assert talk.state.taken_on.joint == "ankle"
    assert talk.state.corrected.joint == "knee"
    talk.say("affirm").say("left hip flexion baseline ninety degrees pain two", ("range_deg",))
    assert talk.state.taken_on.joint == talk.state.corrected.joint == "hip"
    talk.say("disregard")
    assert talk.state.taken_on.joint == talk.state.corrected.joint == "knee"
