"""The likelihood-ratio test that tells dictation from talk, on numbers worked out by hand."""

import math
from collections.abc import Callable

import numpy as np
import pytest

from voicelog.audio.base import Samples
from voicelog.recognisers.verification import (
    BIAS,
    BIAS_OF_FEW,
    FARTHEST,
    FILLER,
    LEAD_SLOPE,
    MEAN_OF_FEW,
    MEAN_WORD,
    MOST_LEAD,
    ONE_OF,
    WORST_OF_FEW,
    WORST_WORD,
    Segment,
    answer_in_grammar,
    in_grammar,
    is_short,
    left_out,
    pause_behind,
    ratios,
    short_in_grammar,
)

PHONES = (Segment("L", 0, 9, -50.0), Segment("EH", 10, 19, -30.0), Segment("F", 20, 29, -40.0))


def test_a_word_as_likely_as_the_free_phones_has_the_ratio_zero() -> None:
    assert ratios((Segment("left", 0, 29, -120.0),), PHONES) == pytest.approx((0.0,))


def test_the_ratio_is_what_a_word_falls_short_of_the_phones_for_each_frame() -> None:
    """(-110 - (-80)) / 20 frames = -1.5 nats per frame."""
    assert ratios((Segment("le", 0, 19, -110.0),), PHONES) == pytest.approx((-1.5,))


def test_a_hopeless_word_counts_no_worse_than_the_farthest() -> None:
    assert ratios((Segment("gap", 0, 29, -9000.0),), PHONES) == (FARTHEST,)


def test_the_probability_is_the_logistic_of_the_weighted_ratios() -> None:
    odds = WORST_WORD * -5.0 + MEAN_WORD * -4.0 + ONE_OF / 2 + BIAS
    assert in_grammar((-3.0, -5.0)) == pytest.approx(1 / (1 + math.exp(-odds)))
    assert in_grammar(()) == short_in_grammar(()) == 0.0


def test_each_filler_makes_a_dictation_less_likely() -> None:
    odds = WORST_WORD * -5.0 + MEAN_WORD * -4.0 + 2 * FILLER + ONE_OF / 2 + BIAS
    assert in_grammar((-3.0, -5.0), fillers=2) == pytest.approx(1 / (1 + math.exp(-odds)))
    sure = [in_grammar((-3.0,) * 6, fillers) for fillers in range(4)]
    assert sure == sorted(sure, reverse=True)
    assert in_grammar((-1.5,) * 6, fillers=1) > 0.99  # "at forty degrees", clearly said


def test_few_words_that_fit_as_well_are_less_likely() -> None:
    sure = [in_grammar((-3.8,) * count) for count in (3, 5, 8, 12)]
    assert sure == sorted(sure)


@pytest.mark.parametrize("judge", [in_grammar, short_in_grammar])
def test_the_worse_the_words_the_less_it_was_dictated(
    judge: Callable[[tuple[float, ...]], float],
) -> None:
    sure = [judge((ratio,) * 3) for ratio in (-1.0, -3.0, -5.0, -7.0, -9.0)]
    assert sure == sorted(sure, reverse=True)
    assert sure[0] > 0.99
    assert sure[-1] < 0.01


def test_a_lead_over_everyday_words_adds_to_it_up_to_a_limit() -> None:
    odds = (WORST_OF_FEW + MEAN_OF_FEW) * -4.0 + BIAS_OF_FEW
    for lead in (-30.0, 0.0, 20.0):
        wanted = 1 / (1 + math.exp(-odds - LEAD_SLOPE * lead))
        assert short_in_grammar((-4.0,), lead) == pytest.approx(wanted)
    assert short_in_grammar((-4.0,), 10 * MOST_LEAD) == short_in_grammar((-4.0,), MOST_LEAD)
    assert short_in_grammar((-8.0,), math.inf) < 0.01


def test_speech_outside_of_the_words_is_counted() -> None:
    sound = loud_then(1000.0)
    assert left_out((Segment("le", 0, 19, 0.0),), PHONES, sound) == pytest.approx(1 / 3)
    assert left_out((Segment("left", 0, 29, 0.0),), PHONES, sound) == 0.0
    assert left_out((), PHONES, sound) == 1.0
    assert left_out((), (), sound[:0]) == 0.0


def test_somebody_much_softer_than_the_words_is_not() -> None:
    """1000 to 100 is 20 dB, to 200 it is 14."""
    word = (Segment("le", 0, 19, 0.0),)
    assert left_out(word, PHONES, loud_then(100.0)) < 0.1
    assert left_out(word, PHONES, loud_then(200.0)) == pytest.approx(1 / 3)


def loud_then(amplitude: float) -> Samples:
    """0.2 s of noise of amplitude 1000, then 0.1 s of this amplitude."""
    noise = np.random.default_rng(1).choice((-1.0, 1.0), 4800)
    return np.asarray(noise * np.repeat((1000.0, amplitude), (3200, 1600)), np.int16)


def word_then_pause(quiet_frames: int, behind_frames: int) -> Samples:
    """30 frames of noise, `behind_frames` more of it, then quiet ones 40 dB softer, then noise."""
    frames = np.concatenate([
        np.full(30 + behind_frames, 3000.0), np.full(quiet_frames, 30.0), np.full(30, 3000.0),
    ])  # fmt: skip
    noise = np.random.default_rng(4).normal(0, 1, len(frames) * 160)
    return np.asarray(noise * np.repeat(frames, 160), np.int16)


@pytest.mark.parametrize(("quiet_frames", "behind_frames", "lasts"), [
    (30, 0, 30), (30, 5, 30), (30, -5, 30), (12, 0, 12), (0, 0, 0), (30, 20, 0),
])  # fmt: skip
def test_a_pause_counts_where_it_begins_with_the_end_of_the_word(
    quiet_frames: int, behind_frames: int, lasts: int
) -> None:
    word = Segment("note", 0, 29, -100.0)
    found = pause_behind(word, word_then_pause(quiet_frames, behind_frames))
    assert found == pytest.approx(lasts, abs=4)  # levels are taken over five frames
    assert (found == 0) == (lasts == 0)


def test_a_word_with_nothing_behind_it_has_no_pause_behind_it() -> None:
    assert pause_behind(Segment("note", 0, 29, -100.0), word_then_pause(0, -30)) == 0


def test_an_answer_goes_by_its_lead_over_everyday_words_and_by_its_fillers() -> None:
    """The odds of one are e to the 1.3 without a lead, and e to the 0.033 more with each nat."""
    assert answer_in_grammar(0.0) == pytest.approx(1 / (1 + math.exp(-1.3)))
    assert answer_in_grammar(-1.3 / 0.033) == pytest.approx(0.5)
    assert answer_in_grammar(50.0) > 0.9
    assert answer_in_grammar(0.0, fillers=1) == pytest.approx(1 / (1 + math.exp(-1.3 - FILLER)))
    assert answer_in_grammar(-math.inf) == 0.0


@pytest.mark.parametrize(
    ("ends", "short"),
    [((10,), True), ((10, 90), True), ((10, 30, 69), True), ((10, 30, 70), False)],
)
def test_few_words_are_short_and_more_in_less_than_seven_tenths_of_a_second(
    ends: tuple[int, ...], short: bool
) -> None:
    starts = (0, *(end + 1 for end in ends[:-1]))
    words = [Segment("w", first, last, 0.0) for first, last in zip(starts, ends, strict=True)]
    assert is_short(words) is short
