"""Numbers heard as whole words, said by people the network never heard.

Digits of the Free Spoken Digit Dataset (CC BY-SA 4.0, speakers 2 and 3) and words of Speech
Commands v0.01 (Warden 2017, CC BY 4.0, recordings 05 to 09 of each) in ../shared/speech or the
folder named by VOICELOG_SHARED: the part for testing.
"""

import numpy as np
import pytest

from audio_fixtures.number_lessons import end_s
from tests.benchmarks.people import DIGITS, QUIET, read
from tests.benchmarks.sounding import shared_speech
from tests.benchmarks.utterances import listened, listening
from voicelog.audio.base import RATE_HZ, Samples
from voicelog.audio.level import FULL_SCALE
from voicelog.dialogue.step import step
from voicelog.recognisers.last_number import WORDS, LastNumber, ending, last_number
from voicelog.records.content import Trial

FOLDER = shared_speech()
SPOKEN = sorted(FOLDER.glob("human_digits/speaker[23]/*.flac")) if FOLDER else []
WORDS_OF_PEOPLE = sorted(FOLDER.glob("human_words/*/0[579].flac")) if FOLDER else []
OTHERS = [path for path in WORDS_OF_PEOPLE if path.parent.name not in (*DIGITS, "tree")]

by_people = pytest.mark.skipif(not SPOKEN, reason="../shared/speech is not there")


def heard(sound: np.ndarray) -> LastNumber:
    samples = np.asarray(np.clip(sound, -1, 1) * (FULL_SCALE - 1), np.int16)
    return last_number(samples, round(end_s(sound) * 1000))


def word(found: LastNumber) -> str:
    return WORDS[int(np.argmax(found.log_probabilities))]


@by_people
def test_most_digits_of_people_over_a_telephone_are_heard() -> None:
    """194 of 200 when this was written."""
    right = [word(heard(read(path))) == DIGITS[int(path.name[0])] for path in SPOKEN]
    assert len(right) == 200
    assert sum(right) >= 180


@by_people
def test_other_words_of_people_lead_less_than_numbers_do() -> None:
    numbers = [heard(read(path)).lead for path in SPOKEN]
    others = [heard(read(path)).lead for path in OTHERS]
    assert np.percentile(others, 90) < np.percentile(numbers, 15)


@by_people
@pytest.mark.parametrize("name", ["0_00", "4_00", "9_00"])
def test_a_digit_that_answers_is_weighed_against_all_others(name: str) -> None:
    content = Trial(side="left", joint="knee", motion="flexion", phase="gap")
    state = listening(content, "result")
    (path,) = [p for p in SPOKEN if p.stem == name and p.parent.name == "speaker3"]
    (one,) = listened(read(path), QUIET, state)
    assert one.meant.intent is not None
    assert one.meant.intent.slots == {"pain": int(name[0])}
    assert len(one.meant.alternatives) == len(WORDS) - 1
    draft = step(state, one.evidence)[0].draft
    assert draft is not None


def test_the_piece_that_is_heard_is_always_as_long() -> None:
    sound: Samples = np.arange(3 * RATE_HZ, dtype=np.int16)
    whole = ending(sound, 2000)
    assert whole[0] == RATE_HZ
    for end_ms in (0, 300, 2000, 2900, 3000, 9000):
        assert len(ending(sound, end_ms)) == len(whole)
    assert not ending(sound, 9000).any()
    assert not ending(sound, 300)[: RATE_HZ // 2].any()


def test_silence_is_no_number() -> None:
    found = last_number(np.zeros(RATE_HZ, np.int16), 500)
    assert found.lead < 0
    assert np.exp(found.log_probabilities).sum() == pytest.approx(1)
