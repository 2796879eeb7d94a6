"""Loudness against its definition: AES17 puts 0 dBFS at a sine that just reaches full scale."""

import numpy as np
import pytest

from voicelog.audio.level import (
    MOST_SPREAD_DB,
    SILENCE_DBFS,
    NoiseFloor,
    RoomSpread,
    level_dbfs,
)


@pytest.mark.parametrize(("peak", "expected_dbfs"), [(32_767, 0.0), (3_277, -20.0), (33, -60.0)])
def test_a_sine_reads_the_level_of_its_peak(peak: int, expected_dbfs: float) -> None:
    sine = np.rint(peak * np.sin(2 * np.pi * np.arange(16_000) / 16)).astype(np.int16)
    assert level_dbfs(sine) == pytest.approx(expected_dbfs, abs=0.1)


def test_silence_and_nothing_have_a_level_too() -> None:
    assert level_dbfs(np.zeros(480, np.int16)) == SILENCE_DBFS
    assert level_dbfs(np.zeros(0, np.int16)) == SILENCE_DBFS


def test_the_most_negative_sample_does_not_overflow() -> None:
    assert level_dbfs(np.full(480, -32_768, np.int16)) == pytest.approx(3.01, abs=0.01)


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


def test_a_steady_room_has_hardly_any_spread_and_an_unsteady_one_as_much_as_its_levels() -> None:
    steady, unsteady = RoomSpread(frames=100, at_least=10), RoomSpread(frames=100, at_least=10)
    chance = np.random.default_rng(1)
    levels = chance.normal(-50, 4, 100)
    for level in levels:
        steady.update(-60.0)
        unsteady.update(float(level))
    assert steady.db == 0
    assert unsteady.db == pytest.approx(4 * 1.2816, abs=1.5)  # normal quantiles 0.5 and 0.1


def test_the_spread_is_unknown_at_first_and_never_taken_for_more_than_a_room_can_have() -> None:
    room = RoomSpread(frames=100, at_least=10)
    for _ in range(9):
        room.update(-70.0)
    room.update(-20.0)
    assert room.db == 0
    for _ in range(20):
        room.update(-20.0)
    assert room.db == MOST_SPREAD_DB
