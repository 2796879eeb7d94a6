"""What the network that guesses the highs learns from: needs torch, which is no part of the tests'
packages."""

import numpy as np
import pytest

pytest.importorskip("torch", reason="torch is needed to teach, and only there")

from audio_fixtures.teach_highs import HIGHEST_HZ, lesson
from voicelog.audio.bands import middles_hz
from voicelog.audio.base import RATE_HZ
from voicelog.audio.highs import GUESSED, LOOK

HISS = np.random.default_rng(2).normal(0, 0.1, RATE_HZ).astype(np.float32)


@pytest.mark.parametrize("throat", [0.9, 1.0, 1.2])
def test_a_lesson_has_a_row_of_highs_for_each_window(throat: float) -> None:
    made = lesson(np.random.default_rng(3), HISS, throat)
    assert len(made.heard) == len(made.highs) + 2 * LOOK
    assert made.highs.shape == made.counts.shape
    assert 100 * (1 / throat + 0.6) == pytest.approx(len(made.highs), abs=2)


def test_what_a_lower_throat_does_not_have_is_not_learnt_from() -> None:
    chance = np.random.default_rng(3)
    lower, higher = (lesson(chance, HISS, throat) for throat in (0.9, 1.1))
    kept = middles_hz()[GUESSED] < 0.9 * HIGHEST_HZ
    assert 0 < kept.sum() < len(kept)
    np.testing.assert_array_equal(lower.counts[0] > 0, kept)
    assert np.all(higher.counts == 1)
