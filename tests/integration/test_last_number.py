"""Numbers heard as whole words, said by people the network never heard.

Digits of the Free Spoken Digit Dataset (CC BY-SA 4.0, speakers 2 and 3) and words of Speech
Commands v0.01 (Warden 2017, CC BY 4.0, recordings 05 to 09 of each) in ../shared/speech or the
folder named by VOICELOG_SHARED: the part for testing.
"""

from dataclasses import replace

import numpy as np
import pytest

from audio_fixtures.number_lessons import end_s
from tests.benchmarks.people import DIGITS, QUIET, read
from tests.benchmarks.sounding import shared_speech
from tests.benchmarks.utterances import listened, listening
from voicelog.audio.base import RATE_HZ, Samples
from voicelog.audio.level import FULL_SCALE
from voicelog.dialogue.step import step
from voicelog.grammar.hypothesis import HeardWord, Reading
from voicelog.recognisers.last_number import WORDS, LastNumber, LastNumbers, ending, last_number
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


def sentence(number: str, *others: tuple[str, float]) -> tuple[Reading, ...]:
    """Readings of "gap pain NUMBER", with other numbers and how much less likely each is."""
    return tuple(
        Reading(tuple(HeardWord(w, n, n + 1, 0.9) for n, w in enumerate(("gap", "pain", last))), w)
        for last, w in ((number, 0.0), *others)
    )


def sure_of(word: str, probability: float) -> LastNumber:
    rest = np.log((1 - probability) / (len(WORDS) - 1))
    found = [np.log(probability) if one == word else rest for one in WORDS]
    return LastNumber(tuple(found), lead=3.0)


def probabilities(readings: tuple[Reading, ...]) -> dict[str, float]:
    weights = {r.words[-1].text: np.exp(r.log_weight) for r in readings}
    return {word: weight / sum(weights.values()) for word, weight in weights.items()}


def test_a_number_the_engine_never_thought_of_comes_in_where_the_whole_word_is_sure() -> None:
    heard = sentence("nine", ("five", -6.0))
    agreed = probabilities(sure_of("nine", 0.9).among(heard))
    doubted = probabilities(sure_of("two", 0.6).among(heard))
    denied = probabilities(sure_of("two", 0.999).among(heard))
    assert agreed["nine"] > 0.98
    assert 0.3 < doubted["nine"] < 0.7
    assert denied["two"] > 0.9
    assert max(denied, key=denied.get) == "two"  # type: ignore[arg-type]


def test_readings_with_one_last_word_keep_their_shares() -> None:
    one, _ = sentence("nine", ("five", -6.0))
    other = Reading((one.words[1], *one.words[1:]), -1.0)
    found = sure_of("nine", 0.9).among((one, other))
    weights = {r.words: r.log_weight for r in found}
    assert weights[one.words] - weights[other.words] == pytest.approx(1.0)


def test_a_word_that_is_no_number_is_weighed_as_anything_else() -> None:
    heard = sentence("three", ("free", -0.1))
    found = probabilities(sure_of("three", 0.9).among(heard))
    assert found["free"] / found["three"] == pytest.approx(np.exp(-3.0), rel=0.2)


def test_a_number_is_gone_through_once_though_its_end_moves_a_little() -> None:
    numbers, sound = LastNumbers(), np.zeros(2 * RATE_HZ, np.int16)
    (reading,) = sentence("nine")
    first = numbers.of(reading.words, sound)
    moved = (*reading.words[:-1], replace(reading.words[-1], end_ms=reading.words[-1].end_ms + 40))
    later = (*reading.words[:-1], replace(reading.words[-1], end_ms=900))
    assert first is not None
    assert numbers.of(moved, sound) is first
    assert numbers.of(later, sound) is not first
    assert numbers.of(reading.words[:1], sound) is None
