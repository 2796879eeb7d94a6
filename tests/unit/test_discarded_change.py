"""A record stands as it was after a change to it was discarded, and can be put right like any."""

from collections.abc import Callable
from datetime import UTC, datetime, timedelta

import pytest

from voicelog.corrections.changes import Changes, before_last_change
from voicelog.corrections.look import looks
from voicelog.data_files.languages import language_folder, load_language
from voicelog.grammar.language import LanguageData
from voicelog.records.entry import Entry
from voicelog.store.memory import MemoryStore

AT = datetime(2026, 3, 2, 18, 0, tzinfo=UTC)


@pytest.fixture(scope="module")
def language() -> LanguageData:
    return load_language(language_folder("en"))


@pytest.fixture
def store(dictated: Callable[[MemoryStore], str]) -> MemoryStore:
    store = MemoryStore()
    dictated(store)
    return store


@pytest.fixture
def changes(store: MemoryStore, language: LanguageData) -> Changes:
    return Changes(store, language, "lee", lambda: AT)


def _say_no_to_pain_nine(store: MemoryStore, entry_id: str) -> Entry:
    """The record, to which a correction was heard that was none."""
    record = store.history(entry_id)[-1]
    proposed = _correct_to_pain_nine(store, record)
    store.append(proposed.drop(proposed.at, "negative"))
    return record


def _correct_to_pain_nine(store: MemoryStore, record: Entry) -> Entry:
    heard = record.evidence[0].model_copy(update={"text": "correction pain nine"})
    other = record.content.model_copy(update={"pain": 9})
    at = AT - timedelta(hours=1)
    proposed = record.propose(other, heard, at, newest=record.version)
    store.append(proposed)
    return proposed


def test_until_it_is_discarded_the_change_is_what_is_looked_at(
    store: MemoryStore, language: LanguageData
) -> None:
    record = store.history("baseline")[-1]
    proposed = _correct_to_pain_nine(store, record)
    found = {look.shown.entry_id: look for look in looks(store.parcel("2026-03-02-1"), language)}
    look = found["baseline"]
    assert (look.shown, look.stands) == (proposed, record)
    assert look.waits
    assert not look.settled


def test_it_is_affirmed_with_its_own_words_alone(
    store: MemoryStore, changes: Changes, language: LanguageData
) -> None:
    record = _say_no_to_pain_nine(store, "gap")
    kept = changes.affirm("gap", 4)
    assert (kept.content, kept.evidence) == (record.content, record.evidence)
    found = {look.shown.entry_id: look for look in looks(store.parcel("2026-03-02-1"), language)}
    assert not found["gap"].doubtful


def test_it_is_taken_out_as_it_stood(store: MemoryStore, changes: Changes) -> None:
    record = _say_no_to_pain_nine(store, "baseline")
    gone = changes.withdraw("baseline", 4, "said to a student")
    assert (gone.content, gone.evidence) == (record.content, record.evidence)


def test_the_change_before_can_be_undone(store: MemoryStore, changes: Changes) -> None:
    first = store.history("baseline")[-1].content
    changes.correct("baseline", 2, first.model_copy(update={"pain": 3}), "typed")
    _say_no_to_pain_nine(store, "baseline")
    earlier = before_last_change(store.history("baseline"))
    assert earlier is not None
    assert earlier.content == first
