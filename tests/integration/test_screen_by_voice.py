"""Asking by voice with real sound and a real endpointer; only the words are scripted."""

from collections.abc import Iterator
from dataclasses import dataclass
from types import TracebackType
from typing import Self

import numpy as np
import pytest

from voicelog.audio.base import RATE_HZ, Block, Samples
from voicelog.audio.endpointer import Endpointer
from voicelog.dialogue.safety_screen import Asking, Question
from voicelog.errors import AudioError, SpeechError
from voicelog.grammar.hypothesis import HeardWord, Hypothesis, Reading
from voicelog.grammar.interpret import Bars
from voicelog.grammar.phrases import Phrases
from voicelog.listening.hearing import Hearing
from voicelog.listening.screen_by_voice import ScreenByVoice
from voicelog.recognisers.scripted import ScriptedRecogniser
from voicelog.speech.printed import PrintedVoice

BLOCK = 480
QUESTIONS = (
    Question("A1", "A hot joint?", "Same-day referral."),
    Question("B1.1", "A loose joint?", "No gap trial."),
)


def heard(text: str, in_grammar: float = 0.99) -> Hypothesis:
    words = tuple(HeardWord(w, 100 * i, 100 * i + 100, 0.99) for i, w in enumerate(text.split()))
    return Hypothesis((Reading(words),), in_grammar, "scripted", "script", 0.0)


@dataclass
class Room:
    """A source in which she speaks a number of times."""

    speech: Samples
    utterances: int
    broken: bool = False
    dropped: int = 0

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        pass

    def __iter__(self) -> Iterator[Block]:
        quiet = np.random.default_rng(0).normal(0, 8, RATE_HZ).astype(np.int16)
        sound = np.concatenate([quiet, *[self.speech, quiet] * self.utterances])
        for first in range(0, len(sound), BLOCK):
            yield Block(sound[first : first + BLOCK], first / RATE_HZ, 0.0)
        if self.broken:
            raise AudioError("The microphone went away", do="Plug it in again")

    def drop_unread(self) -> None:
        self.dropped += 1


class Rig:
    """One asking of two questions."""

    def __init__(self, phrases: Phrases, speech: Samples) -> None:
        self.phrases, self.speech = phrases, speech
        self.said: list[str] = []
        self.understood: list[str] = []
        self.troubles: list[SpeechError] = []
        self.silent_for = 0
        """How many sentences the voice cannot say."""

    def speak(self, text: str) -> None:
        if self.silent_for:
            self.silent_for -= 1
            raise SpeechError("The earpiece is gone")
        self.said.append(text)

    def ask(self, *script: Hypothesis, broken: bool = False, deaf: bool = False) -> Asking:
        self.recogniser = ScriptedRecogniser(script)
        self.room = Room(self.speech, len(script), broken)
        aloud = ScreenByVoice(
            Hearing(self.recogniser, self.phrases, Bars()),
            PrintedVoice(self.speak),
            Endpointer(),
            heard=self.understood.append,
            trouble=self.troubles.append,
            deaf=deaf,
        )
        return aloud.ask(Asking(self.phrases.language, QUESTIONS), self.room)


@pytest.fixture
def rig(phrases: Phrases, speech: Samples) -> Rig:
    return Rig(phrases, speech)


def test_affirm_is_yes_negative_is_no_and_the_last_affirm_keeps_all(rig: Rig) -> None:
    asked = rig.ask(heard("negative"), heard("affirm"), heard("affirm"))
    assert asked.stage == "kept"
    assert asked.answers == {"A1": "no", "B1.1": "yes"}
    assert rig.said == [
        *("A hot joint?", "No.", "A loose joint?", "Yes. No gap trial."),
        "1 answered no. Yes or unsure to: A loose joint? "
        "Keep these answers? Affirmative, or negative.",
        "Answers kept.",
    ]
    assert rig.understood == ["negative", "affirm", "affirm"]


def test_only_commands_are_listened_for(rig: Rig) -> None:
    rig.ask(heard("negative"))
    assert set(rig.recogniser.awaited) == {"command"}


def test_talk_and_commands_of_other_places_are_passed_over(rig: Rig) -> None:
    asked = rig.ask(heard("affirm", in_grammar=0.01), heard("stand by"), heard("negative"))
    assert asked.answers == {"A1": "no"}
    assert rig.understood == ["negative"]


def test_when_the_sound_ends_early_nothing_counts(rig: Rig) -> None:
    asked = rig.ask(heard("affirm"))
    assert asked.stage == "asking"


def test_what_was_said_after_the_end_is_not_heard(rig: Rig) -> None:
    rig.ask(heard("close visit"), heard("negative"), heard("affirm"))
    assert rig.understood == ["close visit", "negative"]


def test_a_microphone_that_goes_away_is_an_error(rig: Rig) -> None:
    with pytest.raises(AudioError, match="went away"):
        rig.ask(heard("negative"), broken=True)


def test_its_own_voice_is_not_listened_to(rig: Rig) -> None:
    rig.ask(heard("negative"), deaf=True)
    assert rig.said == ["A hot joint?", "No.", "A loose joint?"]
    assert rig.room.dropped == 3


def test_a_question_that_could_not_be_said_is_said_before_an_answer_counts(rig: Rig) -> None:
    rig.silent_for = 1
    asked = rig.ask(heard("negative"), heard("affirm"))
    assert [str(error) for error in rig.troubles] == ["The earpiece is gone."]
    assert asked.answers == {"A1": "yes"}
    assert rig.said[0] == "A hot joint?"
