"""What could not be said is made up for before a yes counts."""

import time

from voicelog.errors import SpeechError
from voicelog.listening.mouth import Mouth
from voicelog.listening.presses import Press
from voicelog.speech.printed import PrintedVoice


class Earpiece:
    """An earpiece that comes and goes."""

    def __init__(self) -> None:
        self.is_there = True
        self.said: list[str] = []
        self.troubles: list[SpeechError] = []
        self.mouth = Mouth(PrintedVoice(self._hear), lambda: None, self.troubles.append)

    def miss(self, text: str) -> None:
        """It is gone just while this is said."""
        self.is_there = False
        self.mouth.say(text)
        self.is_there = True

    def _hear(self, text: str) -> None:
        if not self.is_there:
            raise SpeechError("The earpiece is gone")
        self.said.append(text)


def test_what_is_said_needs_no_making_up() -> None:
    ear = Earpiece()
    ear.mouth.say("pain six")
    assert not ear.mouth.make_up("pain six")
    assert ear.said == ["pain six"]


def test_a_later_sentence_does_not_make_up_for_one_that_was_not_said() -> None:
    ear = Earpiece()
    ear.miss("pain six")
    ear.mouth.say("The microphone is back.")
    assert ear.mouth.make_up("pain six")
    assert ear.said == ["The microphone is back.", "pain six"]
    assert not ear.mouth.make_up("pain six")


def test_a_warning_that_was_not_said_comes_before_what_waits_for_an_answer() -> None:
    ear = Earpiece()
    ear.miss("Tingling. Stop.")
    ear.mouth.say("pain six")
    assert ear.mouth.make_up("pain six")
    assert ear.said == ["pain six", "Tingling. Stop.", "pain six"]


def test_a_warning_is_made_up_where_nothing_waits_for_an_answer() -> None:
    ear = Earpiece()
    ear.miss("Tingling. Stop.")
    assert ear.mouth.make_up("")
    assert ear.said == ["Tingling. Stop."]


def test_a_tone_that_was_not_heard_is_told_and_not_made_up() -> None:
    ear = Earpiece()
    ear.mouth.tone("ask")
    ear.is_there = False
    ear.mouth.tone("saved")
    assert not ear.mouth.make_up("")
    assert (ear.said, len(ear.troubles)) == (["(ask)"], 1)


def test_what_another_sentence_took_the_place_of_is_not_said() -> None:
    ear = Earpiece()
    ear.miss("pain six")
    ear.mouth.move_on("pain six")
    assert not ear.mouth.make_up("pain five")
    assert ear.said == []


def test_while_there_is_no_earpiece_nothing_is_ever_made_up() -> None:
    ear = Earpiece()
    ear.is_there = False
    ear.mouth.say("pain six")
    assert ear.mouth.make_up("pain six")
    assert ear.mouth.make_up("pain six")
    assert len(ear.troubles) == 3


def test_a_yes_waits_until_all_is_said_and_a_no_until_it_is_begun() -> None:
    ear = Earpiece()
    before_s = time.monotonic()
    ear.mouth.move_on("")
    meanwhile_s = time.monotonic()
    ear.mouth.say("pain six")
    at = (before_s, meanwhile_s, time.monotonic())
    assert [ear.mouth.is_too_early(Press("affirm", s)) for s in at] == [True, True, False]
    assert [ear.mouth.is_too_early(Press("negative", s)) for s in at] == [True, False, False]
