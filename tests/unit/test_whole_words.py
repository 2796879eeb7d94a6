"""How likely words are, against the sum over all ways to say them, as the definition has it (Graves
and others 2006, from memory); what is offered beside what was heard; how readings are weighed."""

from itertools import groupby, product

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from voicelog.grammar.hypothesis import HeardWord, Reading
from voicelog.recognisers.whole_words import (
    MISTAKEN,
    OTHER,
    SHARE,
    WholeWords,
    Words,
    beside,
    known_words,
    whole_words,
)
from voicelog.recognisers.word_paths import NONE

SAID = st.lists(st.sampled_from(("gap", "pain", "four", "five")), max_size=5).map(tuple)


def scores_of(rows: int, seed: int) -> np.ndarray:
    """Log-probabilities in which three words and none are likely."""
    found = np.random.default_rng(seed).normal(0, 1, (rows, len(known_words())))
    likely = [NONE, *(known_words()[word] for word in ("gap", "pain", OTHER))]
    found[:, likely] += 9
    return np.asarray(found - np.logaddexp.reduce(found, axis=1)[:, np.newaxis])


@pytest.mark.parametrize(
    "words", [(), ("gap",), ("gap", "pain"), ("gap", "gap"), ("pain", "mountain", "gap")]
)
def test_words_are_as_likely_as_all_ways_to_say_them(words: Words) -> None:
    scores = scores_of(5, seed=3)
    wanted = [known_words().get(word, known_words()[OTHER]) for word in words]
    places = sorted({NONE, *wanted})
    total = -np.inf
    for row in product(places, repeat=len(scores)):
        if [place for place, _ in groupby(row) if place != NONE] == wanted:
            total = np.logaddexp(total, scores[range(len(row)), row].sum())
    assert WholeWords(scores).log_likelihood(words) == pytest.approx(total)


def test_more_words_than_there_is_time_for_cannot_have_been_said() -> None:
    assert WholeWords(scores_of(2, seed=1)).log_likelihood(("gap", "pain", "gap")) == -np.inf


@given(SAID, SAID)
def test_what_is_offered_makes_the_other_words_of_those_heard(heard: Words, other: Words) -> None:
    found = beside(heard, other)
    if not heard or not other or heard == other:
        assert found is None
        return
    assert found is not None
    assert heard[: found.start] + found.instead + heard[found.end :] == other
    assert found.start < found.end


def readings_of(weights: dict[Words, float]) -> tuple[Reading, ...]:
    return tuple(
        Reading(tuple(HeardWord(word, 0, 1, 0.9) for word in words), weight)
        for words, weight in weights.items()
    )


def test_readings_are_weighed_by_both() -> None:
    """Bayes' rule, with a share of cases in which the whole words say nothing."""
    whole = WholeWords(scores_of(6, seed=2))
    engine: dict[Words, float] = {("four", "five"): 0.0, ("gap", "pain"): -1.0}
    found = whole.among(readings_of(engine))
    likely = {words: np.exp(SHARE * whole.log_likelihood(words)) for words in engine}
    known = {words: value / sum(likely.values()) for words, value in likely.items()}
    wanted = {
        words: np.exp(weight) * ((1 - MISTAKEN) * known[words] + MISTAKEN / 2)
        for words, weight in engine.items()
    }
    assert [tuple(word.text for word in one.words) for one in found] == list(reversed(engine))
    apart = np.log(wanted["four", "five"] / wanted["gap", "pain"])
    assert [one.log_weight for one in found] == pytest.approx([0, apart])


def test_what_the_engine_is_sure_of_does_not_give_way() -> None:
    whole = WholeWords(scores_of(12, seed=2))
    sure = readings_of({("four", "five", "four", "five"): 0.0, ("gap", "pain"): -9.0})
    assert whole.log_likelihood(("gap", "pain")) > whole.log_likelihood(("four", "five") * 2) + 30
    best, *_ = whole.among(sure)
    assert best.words == sure[0].words


def test_where_there_is_no_time_for_any_reading_they_stay_as_they_are() -> None:
    heard = readings_of({("gap", "pain", "gap"): 0.0, ("four", "five", "four"): -1.0})
    assert WholeWords(scores_of(2, seed=1)).among(heard) == heard


def test_what_is_said_is_one_word_or_none_in_each_row() -> None:
    noise = np.random.default_rng(1).normal(0, 100, 16_000).astype(np.int16)
    assert np.exp(whole_words(noise).scores).sum(axis=1) == pytest.approx(1, abs=1e-3)
