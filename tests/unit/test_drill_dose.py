"""The dose of a drill: tempo, plane and direction beside sets, repetitions, hold and band.

Tempo as four numbers (lower, pause, lift, pause) and the names of the anatomical planes are terms
of the trade, from memory.
"""

from typing import Any

import pytest
from pydantic import ValidationError

from voicelog.data_files.languages import language_folder, load_language
from voicelog.exports import home_words
from voicelog.grammar.language import LanguageData
from voicelog.records.content import Drill
from voicelog.telling.doses import dose

SAID = (
    "drill left heel raise three sets of eight tempo three one one zero effort five"
    " sagittal plane with gap"
)


def test_tempo_plane_and_direction_are_heard_and_read_back(talk: Any) -> None:
    talk.say(SAID)
    assert talk.answer == (
        "left, drill, heel raise, three sets of eight, sagittal plane, with gap,"
        " tempo three one one zero, effort five"
    )
    talk.say("affirm")
    assert talk.records == [
        Drill(
            name="heel raise",
            side="left",
            sets=3,
            reps=8,
            effort=5,
            tempo="3-1-1-0",
            plane="sagittal",
            direction="gap",
        )
    ]


def test_a_tempo_that_starts_with_zero_keeps_its_zero(talk: Any) -> None:
    talk.say("drill bridge tempo zero one two three").say("affirm")
    assert talk.records[-1].tempo == "0-1-2-3"
    assert talk.answer == "Saved"


def test_repetitions_may_be_said_without_sets(talk: Any) -> None:
    talk.say("drill bridge eight reps")
    assert talk.answer == "drill, bridge, eight repetitions"
    talk.say("affirm")
    assert talk.records[-1] == Drill(name="bridge", reps=8)


def test_a_correction_of_the_tempo_leaves_the_rest(talk: Any) -> None:
    talk.say(SAID).say("correction tempo four zero four zero with compression").say("affirm")
    assert talk.records[-1].tempo == "4-0-4-0"
    assert talk.records[-1].direction == "compression"
    assert talk.records[-1].sets == 3


@pytest.mark.parametrize("said", ["tempo three one one", "tempo thirty one one zero"])
def test_a_tempo_of_another_shape_is_no_dictation(talk: Any, said: str) -> None:
    talk.say(f"drill bridge {said}")
    assert talk.answer == ""


@pytest.mark.parametrize("tempo", ["3110", "3-1-1", "3-1-1-x", "", "10-1-1-0"])
def test_a_tempo_is_four_single_digits(tempo: str) -> None:
    with pytest.raises(ValidationError):
        Drill(name="bridge", tempo=tempo)


def test_effort_and_pain_are_slots_of_their_own(talk: Any) -> None:
    talk.say("drill bridge pain five")
    assert talk.answer == ""


def test_the_dose_is_written_in_full(language: LanguageData) -> None:
    drill = Drill(name="bridge", sets=3, reps=8, tempo="3-1-1-0", plane="frontal", direction="gap")
    assert dose(drill, language) == "3 sets of 8, tempo 3-1-1-0, frontal plane, with gap"


@pytest.mark.parametrize(
    ("tempo", "told"),
    [
        ("3-1-2-1", "Lower for 3 seconds, wait 1 second, lift for 2 seconds, wait 1 second."),
        ("3-1-1-0", "Lower for 3 seconds, wait 1 second, lift for 1 second."),
        ("3-0-1-0", "Lower for 3 seconds, lift for 1 second."),
        ("0-2-1-0", "Wait 2 seconds, lift for 1 second."),
    ],
)
def test_a_client_reads_the_tempo_in_plain_words_and_of_no_pause_nothing(
    language: LanguageData, tempo: str, told: str
) -> None:
    assert home_words._dose(Drill(name="bridge", tempo=tempo), language) == (told,)


def test_a_client_reads_the_tempo_in_korean() -> None:
    korean = load_language(language_folder("ko"))
    drill = Drill(name="bridge", tempo="3-1-1-0")
    assert home_words._dose(drill, korean) == ("내리기 3초, 멈춤 1초, 올리기 1초.",)


def test_a_tempo_of_nothing_is_not_told(language: LanguageData) -> None:
    assert home_words._dose(Drill(name="bridge", tempo="0-0-0-0"), language) == ()
