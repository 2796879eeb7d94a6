"""Reading the engine's n-best answers. Expected values are worked out by hand from the formulas."""

import json
import math

import pytest

from voicelog.recognisers import vosk_result
from voicelog.recognisers.vosk_result import EVEN_GAIN, GAIN_SPREAD, UNKNOWN, Path, Word


def path(text: str, score: float, word_s: float = 0.5) -> Path:
    words = tuple(Word(w, n * word_s, (n + 1) * word_s) for n, w in enumerate(text.split()))
    return Path(words, score)


def test_an_answer_is_read_with_times_from_the_start_of_the_utterance() -> None:
    answer = {
        "alternatives": [
            {
                "confidence": 120.5,
                "result": [{"word": "gap", "start": 10.25, "end": 10.5}],
                "text": "gap",
            },
            {"confidence": 118.0, "text": ""},
        ]
    }
    assert vosk_result.read_paths(json.dumps(answer), 10.0) == (
        Path((Word("gap", 0.25, 0.5),), 120.5),
        Path((), 118.0),
    )


def test_an_answer_without_alternatives_has_no_paths() -> None:
    assert vosk_result.read_paths('{"text": ""}', 0.0) == ()


def test_the_confidence_of_a_word_is_the_share_of_paths_that_agree_on_it() -> None:
    best, other = vosk_result.readings((path("pain two", 10.0), path("pain three", 9.0)))
    share = math.exp(0) / (math.exp(0) + math.exp(-1))
    assert [word.confidence for word in best.words] == pytest.approx([1.0, share])
    assert [word.confidence for word in other.words] == pytest.approx([1.0, 1 - share])
    assert (best.log_weight, other.log_weight) == (0.0, -1.0)


def test_the_same_word_at_another_time_does_not_agree() -> None:
    early = Path((Word("pain", 0.0, 0.5),), 10.0)
    late = Path((Word("pain", 0.5, 1.0),), 10.0)
    assert vosk_result.readings((early, late))[0].words[0].confidence == pytest.approx(0.5)


@pytest.mark.parametrize("outside", ["", UNKNOWN, f"{UNKNOWN} pain two"])
def test_a_path_with_anything_outside_the_phrases_is_no_reading(outside: str) -> None:
    paths = (path(outside, 10.0), path("pain two", 9.0))
    (reading,) = vosk_result.readings(paths)
    assert (reading.text, reading.log_weight) == ("pain two", 0.0)
    assert vosk_result.readings(paths[:1]) == ()


def test_a_free_path_as_much_better_as_talk_and_dictation_share_leaves_it_even() -> None:
    phrases, free = (path("pain two", 50.0),), (path("paint who", 50.0 - EVEN_GAIN),)
    assert vosk_result.in_grammar(phrases, free) == pytest.approx(0.5)


def test_the_odds_change_by_e_for_each_spread_and_second_of_speech() -> None:
    better = 50.0 - (EVEN_GAIN + GAIN_SPREAD) * 2
    heard = vosk_result.in_grammar(
        (path("pain two", 50.0, word_s=1.0),), (path("paint who", better, word_s=1.0),)
    )
    assert heard / (1 - heard) == pytest.approx(math.e)


def test_a_path_outside_the_phrases_takes_its_share() -> None:
    free = (path("pain two", -1000.0),)
    paths = (path(UNKNOWN, 10.0), path("pain two", 10.0))
    assert vosk_result.in_grammar(paths, free) == pytest.approx(0.5)


def test_nothing_of_the_phrases_is_not_in_the_grammar() -> None:
    assert vosk_result.in_grammar((), (path("hello", 1.0),)) == 0
    assert vosk_result.in_grammar((path("", 5.0),), (path("", 5.0),)) == 0


def test_a_hopeless_gap_does_not_overflow() -> None:
    assert 0 <= vosk_result.in_grammar((path("pain", -1e9),), (path("hello", 0.0),)) < 1e-12
