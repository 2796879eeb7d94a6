"""Records are found by their words, as the file stands now: none superseded or withdrawn."""

from collections.abc import Iterator
from contextlib import closing
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from voicelog.records.content import AnyContent, Drill, Note, Trial
from voicelog.records.entry import Affirmation, Entry, Evidence
from voicelog.store.sqlite import SqliteStore

NINE = datetime(2026, 3, 2, 9, 0, tzinfo=UTC)
YES = Affirmation(read_back="", by="key")
ANKLE = Trial(side="left", joint="ankle", motion="dorsiflexion", phase="gap", pain=3)
HEARD = Evidence(text="", confidence=1.0, engine="e", model="m", grammar_version="1")


@pytest.fixture
def store(tmp_path: Path) -> Iterator[SqliteStore]:
    with closing(SqliteStore(tmp_path / "records.db")) as made:
        yield made


def keep(store: SqliteStore, name: str, content: AnyContent, client: str = "C-014") -> Entry:
    visit = next(iter(store.visits(client)), None) or store.open_visit(client, NINE)
    first = Entry(
        entry_id=name, visit_id=visit.visit_id, client=client, status="unconfirmed",
        content=content, spoken_at=NINE, at=NINE, by="AB",
    )  # fmt: skip
    store.append(first)
    confirmed = first.confirm(YES, NINE)
    store.append(confirmed)
    return confirmed


def names(store: SqliteStore, words: str, limit: int = 20) -> list[str]:
    return [record.entry_id for record in store.find(words, limit)]


def test_every_word_must_be_there_in_any_order_and_case(store: SqliteStore) -> None:
    keep(store, "ankle", ANKLE)
    keep(store, "knee", ANKLE.model_copy(update={"joint": "knee", "motion": "flexion"}))
    keep(store, "note", Note(text="slept badly, left ankle stiff"), "C-015")
    assert names(store, "LEFT ankle") == ["note", "ankle"]
    assert names(store, "gap left") == ["knee", "ankle"]
    assert names(store, "ankle knee") == []
    assert names(store, "c-015 stiff") == ["note"]


def test_a_word_that_stands_nowhere_whole_is_taken_for_a_beginning(store: SqliteStore) -> None:
    keep(store, "ankle", ANKLE)
    keep(store, "drill", Drill(name="banded heel glide"))
    keep(store, "heels", Note(text="heels lift"))
    assert names(store, "dorsi") == ["ankle"]
    assert names(store, "heel") == ["drill"]
    assert names(store, "hee") == ["heels", "drill"]


def test_the_newest_come_first_and_no_more_than_asked_for(store: SqliteStore) -> None:
    for number in range(5):
        keep(store, f"e{number}", ANKLE)
    assert names(store, "ankle", 3) == ["e4", "e3", "e2"]


def test_only_what_stands_is_found(store: SqliteStore) -> None:
    later = NINE + timedelta(minutes=1)
    amended = keep(store, "amended", ANKLE)
    new = amended.propose(Note(text="rhubarb"), HEARD, later, 2)
    store.append(new)
    assert names(store, "dorsiflexion") == ["amended"]
    assert names(store, "rhubarb") == []
    store.append(new.confirm(YES, later))
    assert names(store, "dorsiflexion") == []
    assert names(store, "rhubarb") == ["amended"]
    store.append(store.history("amended")[-1].withdraw(later, "wrong client"))
    assert names(store, "rhubarb") == []


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture], deadline=None)
@given(st.text(max_size=40))
def test_whatever_is_typed_is_words_and_never_a_query(store: SqliteStore, words: str) -> None:
    """FTS5 has a language of its own (https://sqlite.org/fts5.html, section 3); none of it acts."""
    store.find(words)


@pytest.mark.parametrize("words", ["", "  ", '"', "*", "- ^", 'AND "', "NOT", "NEAR(a b)", "a:b"])
def test_signs_that_mean_something_to_the_index_find_nothing(
    store: SqliteStore, words: str
) -> None:
    keep(store, "ankle", ANKLE)
    assert names(store, words) == []
