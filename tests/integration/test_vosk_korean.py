"""The Vosk adapter end to end with a real model and a synthetic voice, both Korean.

The words are chosen from those that this model hears in this formant voice: left, right, knee,
waist, two, four, five, no. What is checked is the adapter; the accuracy of a Korean recogniser on
a voice that it never met is not, so slips of the engine are allowed where rates are compared.
"""

import threading
from collections.abc import Callable, Sequence
from itertools import product
from pathlib import Path

import numpy as np
import pytest

from voicelog.audio.base import RATE_HZ, Samples
from voicelog.errors import RecogniserError
from voicelog.grammar.hypothesis import Expect, Hypothesis
from voicelog.recognisers.vosk import VoskRecogniser

Say = Callable[..., Samples]

SIDES, JOINTS, NUMBERS = ("왼쪽", "오른쪽"), ("무릎", "허리"), ("이", "오", "사")
RECORDS = [" ".join(words) for words in product(SIDES, JOINTS, NUMBERS)]
COMMANDS = ["네", "아니요"]
UNHEARD_OF = "똵뙓"
TALK = (
    "오늘 날씨가 참 좋네요",
    "어제 친구하고 영화를 봤어요",
    "커피 한 잔 주세요",
    "주말에 뭐 하셨어요",
    "학교에 갔습니다",
    "비가 올 것 같아요",
    "아이들은 잘 지내요",
    "감사합니다",
)


@pytest.fixture(scope="module")
def engine(korean_model: Path) -> VoskRecogniser:
    phrases: dict[Expect, Sequence[str]] = {
        "any": [*RECORDS, *COMMANDS],
        "record": [*RECORDS, f"왼쪽 {UNHEARD_OF} 사"],
        "command": COMMANDS,
    }
    return VoskRecogniser(korean_model, phrases)


def listen(engine: VoskRecogniser, expect: Expect, sound: Samples) -> Hypothesis:
    engine.begin(expect)
    for start in range(0, len(sound), 480):
        engine.hear(sound[start : start + 480])
    return engine.end()


@pytest.fixture(scope="module")
def dictated(engine: VoskRecogniser, korean: Say) -> dict[str, Hypothesis]:
    """What became of each record when anything was awaited."""
    return {text: listen(engine, "any", korean(text)) for text in RECORDS}


def test_most_records_come_out_word_for_word(dictated: dict[str, Hypothesis]) -> None:
    right = [heard.text == text for text, heard in dictated.items()]
    assert sum(right) >= len(right) / 2


def test_what_is_awaited_decides_what_can_be_heard(engine: VoskRecogniser, korean: Say) -> None:
    sound = korean("왼쪽 무릎 사")
    assert set(listen(engine, "command", sound).text.split()) <= set(COMMANDS)
    assert listen(engine, "record", sound).text == "왼쪽 무릎 사"


def test_dictation_is_told_from_talk(
    engine: VoskRecogniser, korean: Say, dictated: dict[str, Hypothesis]
) -> None:
    talk = [listen(engine, "any", korean(text)) for text in TALK]
    accepted = sum(heard.in_grammar > 0.5 for heard in dictated.values())
    mistaken = sum(heard.in_grammar > 0.5 for heard in talk)
    assert accepted >= 0.8 * len(dictated)
    assert mistaken <= 0.2 * len(talk)


def test_speech_of_another_language_is_not_in_the_grammar(
    engine: VoskRecogniser, korean: Say
) -> None:
    sentence = "I would like a cup of coffee and a newspaper"
    assert listen(engine, "any", korean(sentence, "en-us")).in_grammar < 0.3


@pytest.mark.parametrize("kind", ["hiss", "tone"])
def test_noise_never_makes_a_whole_record(engine: VoskRecogniser, kind: str) -> None:
    """Noise can pass for a short word in both decodes; the endpointer keeps it out before this."""
    times_s = np.arange(2 * RATE_HZ) / RATE_HZ
    hiss = np.random.default_rng(3).normal(0, 1000, len(times_s))
    sound = hiss if kind == "hiss" else 8000 * np.sin(2 * np.pi * 440 * times_s)
    heard = listen(engine, "record", sound.astype(np.int16))
    assert not {reading.text for reading in heard.readings} & set(RECORDS)


def test_near_words_come_as_alternatives(engine: VoskRecogniser, korean: Say) -> None:
    """Speech outside the phrases leaves the engine unsure, so it offers several ways to read it."""
    heard = listen(engine, "any", korean(TALK[0]))
    assert 1 < len(heard.readings) <= 5
    assert all(reading.log_weight <= 0 for reading in heard.readings)
    assert min(word.confidence for word in heard.readings[0].words) < 0.95


def test_word_times_restart_with_every_utterance(engine: VoskRecogniser, korean: Say) -> None:
    sound = korean("왼쪽 무릎 사")
    starts = [listen(engine, "record", sound).readings[0].words[0].start_ms for _ in range(4)]
    assert max(starts) - min(starts) <= 60
    assert 300 <= starts[0] <= 500


def test_words_unknown_to_the_model_are_named_and_their_phrases_left_out(
    engine: VoskRecogniser,
) -> None:
    assert engine.missing == (UNHEARD_OF,)
    assert engine.missing_words(["무릎", UNHEARD_OF, "허리", UNHEARD_OF, "qqq"]) == (
        UNHEARD_OF,
        "qqq",
    )


def test_phrases_that_are_all_unknown_are_an_error(korean_model: Path) -> None:
    with pytest.raises(RecogniserError, match="none of the phrases for 'command'") as caught:
        VoskRecogniser(korean_model, {"record": RECORDS, "command": [UNHEARD_OF]})
    assert "language" in caught.value.do


def test_an_empty_list_of_phrases_is_an_error(korean_model: Path) -> None:
    with pytest.raises(RecogniserError, match="none of the phrases"):
        VoskRecogniser(korean_model, {"record": []})


def test_what_was_given_no_phrases_cannot_be_awaited(engine: VoskRecogniser) -> None:
    with pytest.raises(RecogniserError, match="no phrases for 'pain'"):
        engine.begin("pain")


def test_two_recognisers_share_a_model_and_do_not_disturb_each_other(
    engine: VoskRecogniser, korean_model: Path, korean: Say
) -> None:
    other = VoskRecogniser(korean_model, {"record": RECORDS})
    left, right = korean("왼쪽 무릎 사"), korean("오른쪽 무릎 사")
    engine.begin("record")
    other.begin("record")
    for start in range(0, max(len(left), len(right)), 480):
        engine.hear(left[start : start + 480])
        other.hear(right[start : start + 480])
    assert (engine.end().text, other.end().text) == ("왼쪽 무릎 사", "오른쪽 무릎 사")


def test_sound_may_come_from_another_thread(engine: VoskRecogniser, korean: Say) -> None:
    engine.begin("record")
    thread = threading.Thread(target=engine.hear, args=(korean("왼쪽 무릎 사"),))
    thread.start()
    thread.join()
    assert engine.end().text == "왼쪽 무릎 사"


def test_a_note_is_free_of_the_phrases(engine: VoskRecogniser, korean: Say) -> None:
    written = engine.transcribe(korean(TALK[0]))
    allowed = {word for text in (*RECORDS, *COMMANDS) for word in text.split()}
    assert written
    assert not set(written.split()) <= allowed


def test_a_note_with_long_pauses_is_written_to_its_end(engine: VoskRecogniser, korean: Say) -> None:
    sentence = korean("아니 이 오")
    pause = np.zeros(3 * RATE_HZ, np.int16)
    one = engine.transcribe(sentence)
    both = engine.transcribe(np.concatenate([sentence, pause, sentence, pause]))
    assert len(both.split()) > len(one.split())


def test_a_note_of_silence_is_empty(engine: VoskRecogniser) -> None:
    assert engine.transcribe(np.zeros(RATE_HZ, np.int16)) == ""
