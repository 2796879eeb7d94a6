"""What is said after a save, as the practice wants it."""

from datetime import UTC, datetime, timedelta
from typing import Any

from voicelog.dialogue.state import State
from voicelog.records.content import Trial
from voicelog.records.entry import Affirmation, Entry
from voicelog.records.visit import Visit
from voicelog.settings.fields import Settings
from voicelog.wiring import House

NINE = datetime(2026, 3, 2, 9, 0, tzinfo=UTC)
VISIT = Visit(visit_id="2026-03-02-1", client="C-014", started_at=NINE)


def saved(minute: int, **slots: Any) -> Entry:
    at = NINE + timedelta(minutes=minute)
    return Entry(
        entry_id=f"e{minute}",
        visit_id=VISIT.visit_id,
        client=VISIT.client,
        version=2,
        status="confirmed",
        content=Trial(side="left", joint="knee", motion="flexion", **slots),
        spoken_at=at,
        at=at,
        by="MT",
        affirmed=Affirmation(read_back="as said", by="voice"),
    )


BASELINE = saved(1, phase="baseline", pain=6)
GAP = saved(2, phase="gap", pain=3)
PRESS = saved(3, phase="compression", pain=6)


def after(*records: Entry, tell_changes: bool) -> str:
    house = House(Settings(tell_changes=tell_changes))
    state = State(house.setting(VISIT), records=records[:-1])
    return house.remark(state, records[-1])


def test_the_change_against_the_baseline_is_said_after_a_trial() -> None:
    assert after(BASELINE, GAP, tell_changes=True) == "Pain 6 to 3."


def test_the_direction_is_said_after_the_second_trial() -> None:
    assert after(BASELINE, GAP, PRESS, tell_changes=True) == "Gap eased it: pain 6 to 3."


def test_a_stop_event_asks_for_what_was_done_whatever_the_practice_wants() -> None:
    worse, sharp = saved(2, phase="gap", pain=8), saved(1, phase="baseline", quality=("sharp",))
    ask = "Say note, and what you did."
    assert after(BASELINE, worse, tell_changes=True) == f"Pain 6 to 8, stop and review. {ask}"
    assert after(BASELINE, worse, tell_changes=False) == f"Stop and review. {ask}"
    assert after(sharp, tell_changes=True) == f"Stop and review. {ask}"
    ended = saved(3, phase="compression", pain=9)
    told = after(BASELINE, GAP, ended, tell_changes=True)
    assert told == f"Stop and review. Gap eased it. {ask}"


def test_nothing_is_said_where_the_practice_does_not_want_it() -> None:
    assert after(BASELINE, GAP, PRESS, tell_changes=False) == ""
