"""Loudness against its definition: AES17 puts 0 dBFS at a sine that just reaches full scale."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from voicelog.audio.level import (
    SILENCE_DBFS,
    NoiseFloor,
    VoiceLevel,
    frames_of_voice,
    level_dbfs,
    step_powers,
)


@pytest.mark.parametrize(("peak", "expected_dbfs"), [(32_767, 0.0), (3_277, -20.0), (33, -60.0)])
def test_a_sine_reads_the_level_of_its_peak(peak: int, expected_dbfs: float) -> None:
    sine = np.rint(peak * np.sin(2 * np.pi * np.arange(16_000) / 16)).astype(np.int16)
    assert level_dbfs(sine) == pytest.approx(expected_dbfs, abs=0.1)


def test_silence_and_nothing_have_a_level_too() -> None:
    assert level_dbfs(np.zeros(480, np.int16)) == SILENCE_DBFS
    assert level_dbfs(np.zeros(0, np.int16)) == SILENCE_DBFS


def test_the_most_negative_sample_does_not_overflow() -> None:
    square = np.tile(np.array([-32_768, 32_767], np.int16), 240)
    assert level_dbfs(square) == pytest.approx(3.01, abs=0.01)


def test_the_floor_is_the_softest_tenth_and_follows_the_room() -> None:
    floor = NoiseFloor(frames=100, at_least=10)
    assert floor.update(-20) == SILENCE_DBFS
    for _ in range(50):
        for level in [-60.0] + 4 * [-20.0]:
            quiet_room = floor.update(level)
    assert quiet_room == -60
    for _ in range(100):
        loud_room = floor.update(-40)
    assert loud_room == -40


def test_the_level_of_a_voice_is_that_of_its_loudest_frames_in_a_row() -> None:
    voice = VoiceLevel(frames=3)
    for level in (-40.0, -20.0):
        voice.update(level)
    assert voice.loudest_dbfs == SILENCE_DBFS
    for level in (-20.0, -20.0, -40.0):
        voice.update(level)
    assert voice.loudest_dbfs == pytest.approx(-20)


def test_a_nearer_voice_rises_above_what_was_before_and_a_louder_word_hardly() -> None:
    voice = VoiceLevel(frames=3)
    for _ in range(9):
        voice.update(-40.0)
    assert voice.rose_by_db == 0
    for _ in range(3):
        voice.update(-25.0)
    assert voice.rose_by_db == pytest.approx(15)
    for _ in range(9):
        voice.update(-25.0)
    assert voice.rose_by_db == 0


def test_nothing_has_risen_where_nothing_came_before() -> None:
    voice = VoiceLevel(frames=3)
    for level in (-60.0, -60.0, -20.0, -20.0, -20.0):
        voice.update(level)
    assert voice.rose_by_db == 0


@pytest.mark.parametrize(
    ("levels", "voice"),
    [
        ([-60.0] * 9 + [-20.0] * 3, 3),
        ([-60.0, -60.0, -41.0, -41.0, -30.0, -60.0, -60.0, -20.0, -20.0, -20.0], 8),
        ([-30.0, -60.0, -60.0, -60.0, -60.0, -20.0, -20.0, -20.0], 3),
        ([-30.0, -60.0, -60.0, -60.0, -20.0, -43.0, -20.0], 7),
    ],
    ids=["only what is known", "soft syllables", "a silence that is long enough", "and one less"],
)
def test_a_voice_goes_back_to_the_last_silence(levels: list[float], voice: int) -> None:
    assert frames_of_voice(levels, start=3, falls_db=22.0, silence=4) == voice


@given(st.integers(-20_000, 20_000))
def test_a_constant_offset_is_no_sound(offset: int) -> None:
    sound = np.asarray(8000 * np.sin(np.arange(1600) * np.pi / 8), np.int16)
    assert level_dbfs(sound + np.int16(offset)) == pytest.approx(level_dbfs(sound), abs=0.01)
    np.testing.assert_allclose(
        step_powers(sound + np.int16(offset), 160), step_powers(sound, 160), rtol=1e-6
    )
