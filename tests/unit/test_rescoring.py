"""Which pieces of sound are weighed anew, and how words that fit alike are."""

import math
from typing import cast

import numpy as np
import pytest

from voicelog.grammar.automaton import Weights
from voicelog.grammar.hypothesis import HeardWord
from voicelog.grammar.neighbours import Neighbour
from voicelog.recognisers.decoding import Decoding
from voicelog.recognisers.rescoring import Judge, Scored, usual_words

WEIGHTS = Weights({"filler": 0.05, "drill": 0.3}, {"at": 3, "numb": 0.3})


class FitsAlike:
    """Every phrase fits the sound as well as every other."""

    def score(self, *_: object) -> float:
        return -1000.0


def test_a_piece_whose_ends_hardly_moved_is_the_one_that_was_weighed_in_the_pause() -> None:
    scored = Scored()
    assert scored.piece(4_000, 20_000) == (4_000, 20_000)
    assert scored.piece(4_160, 20_640) == (4_000, 20_000)


def test_a_piece_with_another_end_is_weighed_anew() -> None:
    scored = Scored()
    scored.piece(4_000, 20_000)
    assert scored.piece(4_000, 21_000) == (4_000, 21_000)
    assert scored.piece(5_000, 20_000) == (5_000, 20_000)


def test_fillers_are_as_rare_as_in_the_search() -> None:
    assert usual_words(WEIGHTS, ["uh", "at"]) == {
        "uh": 0.05,
        "at": pytest.approx(0.15),
        "numb": 0.3,
    }


def test_a_side_is_likelier_than_a_filler_that_fits_as_well() -> None:
    """By Bayes' rule the sound then says nothing, and what is usual decides."""
    words = ("drill", "uh", "split", "squat")
    heard = tuple(HeardWord(word, 300 * n, 300 * n + 250, 0.9) for n, word in enumerate(words))
    decoding = cast(Decoding, FitsAlike())
    sound, usual = np.zeros(32_000, np.int16), usual_words(WEIGHTS, ["uh"])
    judge = Judge(decoding, sound, "", usual, Scored())
    likelier, less = judge.readings(heard, [Neighbour(1, 2, ("left",), 0.0)])
    assert likelier.text == "drill left split squat"
    assert less.log_weight - likelier.log_weight == pytest.approx(math.log(0.05))
