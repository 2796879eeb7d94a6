"""Corrections go by the rules of every record: proposed, affirmed, and nothing is overwritten."""

from collections.abc import Callable
from contextlib import suppress
from datetime import UTC, datetime, timedelta
from itertools import count

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from voicelog.corrections.changes import (
    Changes,
    before_first_affirmation,
    before_last_change,
)
from voicelog.corrections.look import looks
from voicelog.data_files.languages import language_folder, load_language
from voicelog.errors import StaleVersion, StoreError
from voicelog.grammar.language import LanguageData
from voicelog.records.content import Note, Trial
from voicelog.records.entry import Entry, check_follows
from voicelog.store.memory import MemoryStore

Fill = Callable[[MemoryStore], str]
AT = datetime(2026, 3, 2, 18, 0, tzinfo=UTC)


@pytest.fixture(scope="module")
def language() -> LanguageData:
    return load_language(language_folder("en"))


@pytest.fixture
def store(dictated: Fill) -> MemoryStore:
    store = MemoryStore()
    dictated(store)
    return store


@pytest.fixture
def changes(store: MemoryStore, language: LanguageData) -> Changes:
    return _changes(store, language)


def _changes(store: MemoryStore, language: LanguageData) -> Changes:
    minutes = count()
    return Changes(store, language, "lee", lambda: AT + timedelta(minutes=next(minutes)))


def _pain(store: MemoryStore, entry_id: str, pain: int) -> Trial:
    content = store.history(entry_id)[-1].content
    assert isinstance(content, Trial)
    return content.model_copy(update={"pain": pain})


def test_a_correction_is_proposed_and_affirmed_at_the_desk(
    store: MemoryStore, changes: Changes
) -> None:
    before = store.history("baseline")
    kept = changes.correct("baseline", 2, _pain(store, "baseline", 3), 'typed "pain 3"')
    history = store.history("baseline")
    assert history[:2] == before
    assert [v.status for v in history[2:]] == ["unconfirmed", "confirmed"]
    assert history[2].content == history[3].content == _pain(store, "baseline", 3)
    assert {(v.by, v.why) for v in history[2:]} == {("lee", 'typed "pain 3"')}
    assert kept.affirmed is not None
    assert kept.affirmed.by == "desk"
    assert kept.affirmed.read_back == (
        "correction, left ankle, dorsiflexion, baseline, twelve degrees, one two, pain three"
    )


def test_what_was_seen_in_an_older_window_changes_nothing(
    store: MemoryStore, changes: Changes
) -> None:
    changes.correct("baseline", 2, _pain(store, "baseline", 3), "first window")
    before = store.history("baseline")
    second_window: tuple[Callable[[], object], ...] = (
        lambda: changes.correct("baseline", 2, _pain(store, "baseline", 9), "second window"),
        lambda: changes.affirm("baseline", 2),
        lambda: changes.withdraw("baseline", 2, "second window"),
    )
    for change in second_window:
        with pytest.raises(StaleVersion, match="nothing was overwritten"):
            change()
    assert store.history("baseline") == before


def test_undo_brings_back_the_record_before_and_again_the_one_after(
    store: MemoryStore, changes: Changes
) -> None:
    first = store.history("baseline")[-1].content
    second = changes.correct("baseline", 2, _pain(store, "baseline", 3), "typed").content
    earlier = before_last_change(store.history("baseline"))
    assert earlier is not None
    assert earlier.content == first
    changes.correct("baseline", 4, earlier.content, "undone")
    assert store.records("2026-03-02-1")[0].content == first
    again = before_last_change(store.history("baseline"))
    assert again is not None
    assert again.content == second


def test_undo_passes_over_a_change_that_was_discarded(store: MemoryStore, changes: Changes) -> None:
    record = store.history("baseline")[-1]
    first = record.content
    proposed = record.propose(
        _pain(store, "baseline", 9), record.evidence[0], AT - timedelta(hours=1), newest=2
    )
    store.append(proposed)
    changes.discard("baseline", 3)
    changes.correct("baseline", 4, _pain(store, "baseline", 2), "typed")
    earlier = before_last_change(store.history("baseline"))
    assert earlier is not None
    assert earlier.content == first


def test_what_was_left_unconfirmed_becomes_a_record_as_it_stands(
    store: MemoryStore, changes: Changes
) -> None:
    kept = changes.affirm("retest", 1)
    assert kept in store.records("2026-03-02-1")
    assert (kept.by, kept.why, kept.content) == (
        "lee",
        "affirmed",
        store.history("retest")[0].content,
    )


def test_an_unfinished_dictation_cannot_be_affirmed(store: MemoryStore, changes: Changes) -> None:
    with pytest.raises(StoreError, match="missing: motion, trial"):
        changes.affirm("half", 1)
    assert len(store.history("half")) == 1


def test_a_discarded_dictation_can_wait_again_but_its_sound_is_gone(
    store: MemoryStore, changes: Changes
) -> None:
    assert store.clips("retest")
    changes.discard("retest", 1)
    assert store.unconfirmed("2026-03-02-1") == (store.history("half")[-1],)
    changes.take_back_discard("retest", 2)
    waiting = {entry.entry_id for entry in store.unconfirmed("2026-03-02-1")}
    assert waiting == {"retest", "half"}
    assert not store.clips("retest")


def test_an_affirmation_is_undone_by_a_copy_that_waits_again(
    store: MemoryStore, changes: Changes
) -> None:
    sound = store.clips("retest")
    changes.correct("retest", 1, _pain(store, "retest", 9), "typed")
    waits = changes.unaffirm("retest", 3, "copy")
    assert waits.status == "unconfirmed"
    assert waits.content == store.history("retest")[0].content
    assert waits.spoken_at == store.history("retest")[0].spoken_at
    assert store.clips("copy") == sound
    assert "retest" not in {record.entry_id for record in store.records("2026-03-02-1")}
    assert len(store.history("retest")) == 4


def test_what_was_affirmed_by_voice_has_no_affirmation_to_undo(store: MemoryStore) -> None:
    assert before_first_affirmation(store.history("baseline")) is None


def test_a_record_is_taken_out_only_with_a_reason(store: MemoryStore, changes: Changes) -> None:
    with pytest.raises(StoreError, match="needs a reason"):
        changes.withdraw("baseline", 2, "  ")
    changes.withdraw("baseline", 2, "said to a student")
    assert "baseline" not in {record.entry_id for record in store.records("2026-03-02-1")}
    assert store.history("baseline")[-1].why == "said to a student"


def test_a_record_found_in_a_note_keeps_its_time_words_and_sound(
    store: MemoryStore, changes: Changes
) -> None:
    note = store.history("note")[-1]
    trial = Trial(side="right", joint="knee", motion="flexion", phase="baseline", pain=4)
    kept = changes.begin(note, "found", trial, "found in a note")
    assert kept.status == "confirmed"
    assert (kept.spoken_at, kept.evidence) == (note.spoken_at, note.evidence)
    assert store.clips("found") == store.clips("note")
    assert store.history("note")[-1] == note


def test_entries_that_need_a_look_come_first(store: MemoryStore, language: LanguageData) -> None:
    found = looks(store.parcel("2026-03-02-1"), language)
    assert [look.shown.entry_id for look in found] == [
        *("retest", "half"),
        *("gap", "note"),
        *("baseline", "drill"),
    ]
    assert found[1].missing == ("motion", "phase")
    assert found[2].unsure == (("pain", 0.48),)


def test_a_look_at_the_desk_settles_a_doubt(
    store: MemoryStore, changes: Changes, language: LanguageData
) -> None:
    changes.affirm("gap", 2)
    changes.correct("note", 2, Note(text="knee stiff", checked=True), "compared with its sound")
    doubtful = [look for look in looks(store.parcel("2026-03-02-1"), language) if look.doubtful]
    assert doubtful == []
    assert store.history("gap")[-1].content == store.history("gap")[0].content


ACTIONS = st.sampled_from(("correct", "affirm", "discard", "take back", "withdraw", "unaffirm"))
STEPS = st.lists(st.tuples(ACTIONS, st.sampled_from(("baseline", "retest")), st.integers(0, 10)))


@settings(max_examples=200)
@given(steps=STEPS)
def test_no_order_of_changes_overwrites_or_confirms_unseen_values(
    steps: list[tuple[str, str, int]], dictated: Fill, language: LanguageData
) -> None:
    store = MemoryStore()
    dictated(store)
    changes, fresh = _changes(store, language), count()
    for action, entry_id, pain in steps:
        before = store.history(entry_id)
        with suppress(StoreError):
            _do(changes, action, before[-1], _pain(store, entry_id, pain), f"new {next(fresh)}")
        assert store.history(entry_id)[: len(before)] == before
    for history in (store.history("baseline"), store.history("retest")):
        for older, newer in zip((None, *history), history, strict=False):
            check_follows(older, newer)


def _do(changes: Changes, action: str, shown: Entry, content: Trial, fresh_id: str) -> None:
    entry_id, seen = shown.entry_id, shown.version
    match action:
        case "correct":
            changes.correct(entry_id, seen, content, "typed")
        case "affirm":
            changes.affirm(entry_id, seen)
        case "discard":
            changes.discard(entry_id, seen)
        case "take back":
            changes.take_back_discard(entry_id, seen)
        case "withdraw":
            changes.withdraw(entry_id, seen, "said to a student")
        case "unaffirm":
            changes.unaffirm(entry_id, seen, fresh_id)
