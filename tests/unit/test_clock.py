"""Time within a visit goes forward, whatever happens to the machine's clock."""

from datetime import UTC, datetime, timedelta

from hypothesis import given
from hypothesis import strategies as st

from voicelog.clock import WallClock, not_before

NINE = datetime(2026, 3, 2, 9, 0, tzinfo=UTC)
STEPS_S = st.lists(st.integers(-100_000, 100_000), min_size=1)


def told(steps_s: list[int]) -> list[datetime]:
    moments = [NINE]
    for step_s in steps_s:
        moments.append(moments[-1] + timedelta(seconds=step_s))
    ticks = iter(moments)
    clock = WallClock(lambda: next(ticks))
    return [clock(0.0) for _ in steps_s]


@given(STEPS_S)
def test_time_never_goes_back(steps_s: list[int]) -> None:
    times = told(steps_s)
    assert times == sorted(times)


@given(STEPS_S)
def test_every_step_forward_is_followed_in_full(steps_s: list[int]) -> None:
    forward_s = sum(step for step in steps_s if step > 0)
    assert told(steps_s)[-1] == NINE + timedelta(seconds=forward_s)


def test_a_visit_taken_up_after_the_clock_was_set_back_goes_on_from_its_newest_time() -> None:
    clock = not_before(lambda place_s: NINE + timedelta(seconds=place_s), NINE + timedelta(days=3))
    assert clock(0) == NINE + timedelta(days=3)
    assert clock(5) == NINE + timedelta(days=3, seconds=5)


def test_a_clock_that_is_later_already_stays_as_it_is() -> None:
    clock = not_before(lambda place_s: NINE, NINE - timedelta(hours=1))
    assert clock(0) == NINE
