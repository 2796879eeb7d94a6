"""The dialogue as a conversation: what she says, what it answers, what is kept."""

from typing import Any

import pytest

from tests.unit.trials import trial
from voicelog.dialogue.actions import Save
from voicelog.dialogue.events import SoundLost
from voicelog.records.content import Cue, Drill, Fault, Note, Trial

BASELINE = "left ankle dorsiflexion baseline twelve degrees pain six"


def test_a_trial_is_read_back_in_full_and_saved_when_affirmed(talk: Any) -> None:
    talk.say(BASELINE)
    assert talk.answer == "left ankle, dorsiflexion, baseline, twelve degrees, one two, pain six"
    assert talk.records == []
    talk.say("affirm")
    assert talk.records == [trial(phase="baseline", range_deg=12, pain=6)]
    assert talk.answer == "Saved"


def test_side_joint_and_motion_carry_over_and_are_read_back(talk: Any) -> None:
    talk.say(BASELINE).say("affirm").say("gap trial sixteen degrees pain three")
    assert talk.answer.startswith("left ankle, dorsiflexion, gap trial")
    talk.say("affirm")
    assert talk.records[-1] == trial(phase="gap", range_deg=16, pain=3)


def test_another_joint_does_not_inherit_the_motion(talk: Any) -> None:
    talk.say(BASELINE).say("affirm").say("knee gap trial pain three")
    assert talk.answer == "Which motion?"
    talk.say("flexion").say("affirm")
    assert talk.records[-1] == Trial(
        side="left", joint="knee", motion="flexion", phase="gap", pain=3
    )


def test_correction_replaces_only_what_follows(talk: Any) -> None:
    talk.say("left ankle dorsiflexion compression trial nine degrees pain seven pinching")
    talk.say("correction pain six")
    assert "pain six" in talk.answer
    talk.say("affirm")
    assert talk.records == [trial(phase="compression", range_deg=9, pain=6, quality=("pinching",))]


def test_correction_after_saving_amends_and_keeps_the_original(talk: Any) -> None:
    talk.say(BASELINE).say("affirm").say("correction pain five")
    assert talk.answer.startswith("correction, left ankle")
    assert talk.records == [trial(phase="baseline", range_deg=12, pain=6)]
    talk.say("affirm")
    assert talk.records == [trial(phase="baseline", range_deg=12, pain=5)]
    history = talk.store.history("entry-1")
    assert [version.status for version in history] == [
        "unconfirmed", "confirmed", "unconfirmed", "confirmed",
    ]  # fmt: skip


def test_a_refused_amendment_leaves_the_record_as_it_was(talk: Any) -> None:
    talk.say(BASELINE).say("affirm").say("correction pain five").say("negative")
    assert talk.answer == "Dropped. It stays as it was saved"
    assert talk.records == [trial(phase="baseline", range_deg=12, pain=6)]
    talk.say("correction pain four").say("affirm")
    assert talk.records == [trial(phase="baseline", range_deg=12, pain=4)]


def test_correction_that_does_not_fit_changes_nothing(talk: Any) -> None:
    talk.say("fault heel lifting").say("correction pain six")
    assert talk.answer == "That does not fit. fault, heel lifting"
    talk.say("correction knee falling in").say("affirm")
    assert talk.records == [Fault(name="knee falling in")]


@pytest.mark.parametrize("word", ["negative", "disregard"])
def test_a_refused_dictation_is_dropped(talk: Any, word: str) -> None:
    talk.say(BASELINE).say(word)
    assert talk.answer == "Dropped"
    talk.say("affirm")
    assert talk.records == []
    assert talk.unconfirmed == []


def test_a_dictation_while_one_is_open_sets_the_first_aside(talk: Any) -> None:
    talk.say(BASELINE).say("gap trial left hip flexion ninety degrees pain two")
    assert "kept" in talk.tones
    talk.say("affirm")
    assert talk.records == [
        Trial(side="left", joint="hip", motion="flexion", phase="gap", range_deg=90, pain=2)
    ]
    assert talk.unconfirmed == [trial(phase="baseline", range_deg=12, pain=6)]


def test_the_start_of_pain_and_the_end_of_the_range_are_both_kept_and_read_back(talk: Any) -> None:
    talk.say("left knee flexion baseline pain starts at fifty end range eighty degrees pain four")
    assert "pain starts at fifty degrees, five zero, end range eighty degrees" in talk.answer
    talk.say("affirm")
    assert (talk.records[0].onset_deg, talk.records[0].range_deg) == (50, 80)


def test_a_corrected_angle_is_of_the_kind_said(talk: Any) -> None:
    talk.say("left knee flexion baseline fifty degrees pain four")
    talk.say("correction pain starts at fifty degrees")
    talk.say("correction end range eighty").say("affirm")
    assert (talk.records[0].onset_deg, talk.records[0].range_deg) == (50, 80)


def test_drills_faults_cues_and_notes_are_records_too(talk: Any) -> None:
    for said in (
        "drill banded heel glide three sets of eight light band",
        "fault heel lifting",
        "cue press the heel down",
        "note slept badly",
    ):
        talk.say(said).say("affirm")
    assert talk.records == [
        Drill(name="banded heel glide", sets=3, reps=8, band="light"),
        Fault(name="heel lifting"),
        Cue(name="press the heel down"),
        Note(text="slept badly"),
    ]


def test_a_pain_free_rep_is_a_trial_without_pain(talk: Any) -> None:
    talk.say("left ankle dorsiflexion retest pain free rep").say("affirm")
    assert talk.records == [trial(phase="retest", outcome="pain free rep", pain=0)]


def test_talk_is_passed_over_in_silence(talk: Any) -> None:
    before = talk.state
    talk.say("how does the left knee feel now less than four")
    assert (talk.state, talk.actions) == (before, [])


def test_commands_act_only_where_they_are_expected(talk: Any) -> None:
    for word in ("affirm", "negative", "go ahead"):
        talk.say(word)
    assert talk.actions == []


def test_say_again_repeats_and_read_back_reads_what_is_open_or_last(talk: Any) -> None:
    talk.say("left ankle dorsiflexion baseline").say("say again")
    assert talk.answer == "Pain?"
    talk.say("read back")
    assert talk.answer == "left ankle, dorsiflexion, baseline"
    talk.say("disregard").say(BASELINE).say("affirm").say("read back")
    assert talk.answer.startswith("left ankle, dorsiflexion, baseline, twelve")


def test_after_lost_sound_say_again_gives_the_read_back_that_is_to_be_checked(talk: Any) -> None:
    talk.say(BASELINE)
    read_back = talk.answer
    talk.feed(SoundLost())
    assert "Check the last read-back" in talk.answer
    talk.say("say again")
    assert talk.answer == read_back


def test_keys_stand_for_words(talk: Any) -> None:
    talk.say(BASELINE).press("affirm")
    assert len(talk.records) == 1
    assert talk.store.records(talk.state.setting.visit.visit_id)[0].affirmed.by == "key"


def test_a_stop_word_is_prompted_once(talk: Any) -> None:
    said = "left ankle dorsiflexion gap trial pain four tingling"
    talk.say(said).say("affirm").say(said)
    prompts = [a.text for a in talk.actions if getattr(a, "text", "").startswith("Tingling")]
    assert prompts == ["Tingling. Stop, and check before you go on."]
    assert talk.records[0].quality == ("tingling",)


def test_saved_is_not_said_while_the_store_cannot_keep_it(talk: Any) -> None:
    talk.say(BASELINE)
    talk.broken = True
    talk.say("affirm")
    assert talk.answer == "Not saved. The disk is full. Say affirmative to try again."
    assert talk.records == []
    talk.broken = False
    talk.say("affirm")
    assert talk.answer == "Saved"
    assert len(talk.records) == 1


def test_a_dictation_that_could_not_be_kept_at_first_is_saved_later(talk: Any) -> None:
    talk.broken = True
    talk.say(BASELINE)
    talk.broken = False
    talk.say("correction pain five").say("affirm")
    assert talk.records == [trial(phase="baseline", range_deg=12, pain=5)]


@pytest.mark.parametrize("before", [(), ("affirm", "correction pain seven")])
def test_a_dropped_dictation_is_dropped_even_if_its_last_change_could_not_be_kept(
    talk: Any, before: tuple[str, ...]
) -> None:
    for said in (BASELINE, *before):
        talk.say(said)
    saved = list(talk.records)
    talk.broken = True
    talk.say("correction pain five").say("negative")
    assert talk.answer.startswith("Not dropped")
    talk.broken = False
    talk.say("negative")
    assert talk.answer.startswith("Dropped")
    assert talk.unconfirmed == []
    assert talk.records == saved


def test_the_affirmation_keeps_the_words_read_back(talk: Any) -> None:
    talk.say(BASELINE)
    read_back = talk.answer
    talk.say("affirm")
    saves = [action.entry for action in talk.actions if isinstance(action, Save)]
    assert [entry.affirmed and entry.affirmed.read_back for entry in saves] == [read_back]


def test_the_midline_takes_no_side_and_a_turn_has_a_direction(talk: Any) -> None:
    talk.say("neck flexion baseline forty degrees pain two").say("affirm")
    talk.say("neck rotation retest pain two")
    assert talk.answer == "Which side?"
    talk.say("left").say("affirm")
    assert talk.records == [
        Trial(joint="neck", motion="flexion", phase="baseline", range_deg=40, pain=2),
        Trial(side="left", joint="neck", motion="rotation", phase="retest", pain=2),
    ]


def test_only_trials_whose_records_stand_are_known_of_the_visit(talk: Any) -> None:
    talk.say(BASELINE)
    assert talk.state.trials == ()
    talk.say("affirm").say("fault heel lifting").say("affirm")
    assert talk.state.trials == (trial(phase="baseline", range_deg=12, pain=6),)
