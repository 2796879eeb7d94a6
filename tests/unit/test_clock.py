"""Time within a visit goes forward, whatever happens to the machine's clock."""

import time
from datetime import UTC, datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from voicelog.clock import WallClock, here_and_now, not_before, of_recording
from voicelog.store.rules import new_visit

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


def test_a_recording_ends_now_and_its_times_carry_the_zone_of_the_machine() -> None:
    before = here_and_now()
    clock = of_recording(60.0)
    assert before <= clock(60.0) <= here_and_now()
    assert clock(60.0) - clock(0.0) == timedelta(seconds=60)
    assert clock(0.0).utcoffset() == datetime.now().astimezone().utcoffset()


@pytest.mark.skipif(not hasattr(time, "tzset"), reason="this system has no TZ to set")
def test_a_visit_before_nine_in_the_morning_has_the_day_where_it_is(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setenv("TZ", "KST-9")  # POSIX: nine hours before UTC
    time.tzset()
    try:
        morning = datetime(2026, 3, 2, 23, 30, tzinfo=UTC)  # half past eight on 3 March there
        visit = new_visit("C-014", WallClock(lambda: morning.astimezone())(0.0), ())
        assert visit.visit_id == "2026-03-03-1"
        assert here_and_now().utcoffset() == timedelta(hours=9)
    finally:
        monkeypatch.undo()
        time.tzset()
