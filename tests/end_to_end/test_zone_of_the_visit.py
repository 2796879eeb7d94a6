"""A list typed in another zone than the visit's tells the times of the place where it was said, as
the desk and the notes do."""

import time

import pytest

from tests.end_to_end.practice import Practice, a_day


@pytest.mark.skipif(not hasattr(time, "tzset"), reason="the zone cannot be set here")
@pytest.mark.parametrize("line", [["visits"], ["find", "ankle"], ["compare", "last"]])
def test_times_are_those_of_the_place_where_it_was_said(
    practice: Practice, monkeypatch: pytest.MonkeyPatch, line: list[str]
) -> None:
    a_day(practice)
    monkeypatch.setenv("TZ", "KST-9")  # POSIX: nine hours before UTC
    time.tzset()
    try:
        told = practice.type(*line).out
    finally:
        monkeypatch.delenv("TZ")
        time.tzset()
    assert "2026-03-02 09:0" in told
    assert "18:0" not in told
