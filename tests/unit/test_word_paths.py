"""The best way through a network, against going through all ways there are, as the definition of
connectionist temporal classification has it (Graves and others 2006, from memory)."""

from collections.abc import Iterator
from itertools import groupby, product

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from voicelog.recognisers.networks import Step
from voicelog.recognisers.speech_embedding import Floats
from voicelog.recognisers.word_paths import NONE, WordPaths

PLACES = {"gap": 1, "pain": 2, "four": 3}
STEPS: list[Step] = [
    (0, 1, 1.0, "gap"),
    (0, 1, 0.3),
    (1, 2, 1.0, "pain"),
    (2, 3, 0.8, "four"),
    (3, 4, 1.0),
    (1, 4, 0.6, "gap"),
    (2, 4, 1.0, "unknown"),
]
LAST = 4


def ways(state: int, length: int) -> Iterator[tuple[tuple[int, ...], float]]:
    """The words of each way from a state to the last one, and the logarithm of its weight."""
    if state == LAST:
        yield (), 0.0
    for step in STEPS:
        if step[0] != state:
            continue
        said = (PLACES[step[3]],) if len(step) == 4 and step[3] in PLACES else ()
        if (len(step) == 4 and not said) or len(said) > length:
            continue
        for rest, weight in ways(step[1], length - len(said)):
            yield said + rest, weight + float(np.log(step[2]))


def likeliest(scores: Floats) -> tuple[float, set[tuple[int, ...]]]:
    """By going through every row of places that the scores allow."""
    heard: dict[tuple[int, ...], float] = {}
    for row in product(range(scores.shape[1]), repeat=len(scores)):
        words = tuple(place for place, _ in groupby(row) if place != NONE)
        score = float(scores[range(len(row)), row].sum())
        heard[words] = max(heard.get(words, -np.inf), score)
    found: dict[tuple[int, ...], float] = {}
    for words, weight in ways(0, len(scores)):
        score = heard.get(words, -np.inf) + weight
        found[words] = max(found.get(words, -np.inf), score)
    best = max(found.values())
    return best, {words for words, score in found.items() if score > best - 1e-6}


@given(st.integers(0, 10_000), st.integers(1, 5))
@settings(deadline=None, max_examples=60)
def test_the_best_of_all_ways_is_found(seed: int, rows: int) -> None:
    scores = np.random.default_rng(seed).normal(0, 3, (rows, 4)).astype(np.float32)
    best, words = likeliest(scores)
    found = WordPaths((LAST, STEPS), PLACES, 1.0).best(scores)
    assert found in words or best < -1e8


def test_the_same_word_twice_needs_a_row_of_none_between() -> None:
    steps: list[Step] = [(0, 0, 1.0, "four"), (0, 1, 1.0, "gap")]
    paths = WordPaths((1, steps), PLACES, 1.0)
    sure = np.full((5, 4), -9.0, np.float32)
    for row, place in enumerate((3, 3, NONE, 3, 1)):
        sure[row, place] = 0.0
    assert paths.best(sure) == (3, 3, 1)
    assert paths.best(sure[[0, 1, 3, 4]]) == (3, 1)


def test_a_word_without_a_place_is_never_heard() -> None:
    steps: list[Step] = [(0, 1, 1.0, "unknown")]
    assert WordPaths((1, steps), PLACES, 1.0).best(np.zeros((3, 4), np.float32)) == ()


def test_where_nothing_fits_nothing_is_heard() -> None:
    steps: list[Step] = [(0, 1, 1.0, "gap"), (1, 2, 1.0, "pain")]
    scores = np.zeros((1, 4), np.float32)
    assert WordPaths((2, steps), PLACES, 1.0).best(scores) == ()
