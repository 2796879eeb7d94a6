"""A visit that broke off is taken up again, or is not."""

from datetime import timedelta

import pytest

from tests.integration.live_rig import BASELINE, BLOCK, START, Rig, heard, only_visit
from voicelog.dialogue.state import State
from voicelog.errors import AudioError
from voicelog.visits import open_visit


def test_a_visit_taken_up_knows_what_carries_over(rig: Rig) -> None:
    live = rig.live([heard(BASELINE), heard("affirm")])
    room = rig.room(2)
    room.unplugged_after = 2 * len(rig.speech) // BLOCK + 190
    with pytest.raises(AudioError):
        live.run(room)
    rig.live([heard("gap trial pain three"), heard("affirm")]).run(rig.room(2))
    records = rig.store.records(only_visit(rig))
    assert [r.content.model_dump()["joint"] for r in records] == ["ankle", "ankle"]


def test_breaking_off_leaves_the_visit_open(rig: Rig) -> None:
    live = rig.live([heard(BASELINE)])
    room = rig.room(5)
    room.on_block = lambda number: live.keys.put("break off") if number == 400 else None
    live.run(room)
    assert rig.store.visits()[0].ended_at is None
    assert "ended" not in rig.kinds()


def test_an_old_broken_visit_is_not_taken_up(rig: Rig) -> None:
    first = open_visit(rig.store, "C-014", START)
    later = open_visit(rig.store, "C-014", START + timedelta(days=2))
    assert not first.taken_up
    assert not later.taken_up
    assert later.visit.visit_id != first.visit.visit_id


def test_a_visit_is_taken_up_although_the_clock_was_set_back(rig: Rig) -> None:
    first = open_visit(rig.store, "C-014", START)
    again = open_visit(rig.store, "C-014", START - timedelta(days=30))
    assert again.taken_up
    assert again.visit == first.visit


def test_the_state_starts_empty_for_a_new_visit(rig: Rig) -> None:
    live = rig.live([])
    assert isinstance(live.state, State)
    assert (live.state.records, live.state.aside, live.state.carried) == ((), (), None)
