"""The audit trail shows whatever was changed from outside, and names it.

The chain is worked out again from its description alone: SHA-256 (FIPS 180-4) by hashlib over
canonical JSON by the reference library of RFC 8785.
"""

import hashlib
import sqlite3
from collections.abc import Callable
from contextlib import closing
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
import rfc8785
from hypothesis import given
from hypothesis import strategies as st

from voicelog.errors import StoreError
from voicelog.records.content import Trial
from voicelog.records.entry import Affirmation, Entry
from voicelog.records.screen import ScreenAnswer
from voicelog.store.base import Clip
from voicelog.store.sqlite import SqliteStore
from voicelog.store.trail import canonical

NINE = datetime(2026, 3, 2, 9, 0, tzinfo=UTC)
LATER = NINE + timedelta(seconds=5)
YES = Affirmation(read_back="pain four", by="voice")
SOUND = Clip(b"fLaC the sound", "pain four", 1.0)


@pytest.fixture
def path(tmp_path: Path) -> Path:
    """Two entries, one affirmed with its sound, a fact, and the end of the visit."""
    path = tmp_path / "records.db"
    with closing(SqliteStore(path)) as store:
        visit = store.open_visit("C-014", NINE)
        for name, pain in (("e1", 4), ("e2", 5)):
            first = Entry(
                entry_id=name, visit_id=visit.visit_id, client="C-014", status="unconfirmed",
                content=Trial(pain=pain), spoken_at=NINE, at=NINE, by="AB",
            )  # fmt: skip
            store.append(first, [SOUND])
            store.append(first.confirm(YES, LATER))
        store.add_facts(
            ScreenAnswer(client="C-014", item="A1", answer="no", asked_by="AB", asked_at=NINE)
        )
        store.end_visit(visit.visit_id, LATER)
    return path


@pytest.fixture
def tampered(path: Path) -> Callable[..., str]:
    """`tampered(statement, …)`: what the check says after somebody has run these on the file."""

    def run(*statements: str) -> str:
        with closing(sqlite3.connect(path)) as db:
            db.execute("DROP TRIGGER entry_version_never_changes")
            db.execute("DROP TRIGGER client_fact_never_changes")
            for statement in statements:
                assert db.execute(statement).rowcount != 0
            db.commit()
        with closing(SqliteStore(path)) as store, pytest.raises(StoreError) as caught:
            store.check()
        assert caught.value.do
        return caught.value.what

    return run


@given(st.lists(st.text() | st.integers(0, 2**53 - 1)))
def test_the_canonical_form_is_that_of_rfc_8785(parts: list[str | int]) -> None:
    assert canonical(parts) == rfc8785.dumps(parts)


def test_the_chain_can_be_worked_out_again_from_its_description(path: Path) -> None:
    before = bytes(32)
    with closing(sqlite3.connect(path)) as db:
        bodies = dict(db.execute("SELECT subject, body FROM kept").fetchall())
        rows = db.execute("SELECT * FROM trail ORDER BY number").fetchall()
    assert [row[0] for row in rows] == list(range(1, 8))
    for number, subject, salt, _, digest, link in rows:
        has_sound = subject in ("version/e1/1", "version/e2/1")
        sums = [hashlib.sha256(SOUND.flac).hexdigest()] if has_sound else []
        what = rfc8785.dumps([subject, salt.hex(), bodies.pop(subject), *sums])
        assert digest == hashlib.sha256(what).digest()
        parts = rfc8785.dumps([number, before.hex(), digest.hex()])
        before = hashlib.sha256(parts).digest()
        assert link == before
    assert bodies == {}


def test_a_file_nobody_touched_has_nothing_to_name(path: Path) -> None:
    with closing(SqliteStore(path)) as store:
        end = store.check().trail
        assert end.links == 7
        assert store.has_link(end.last.upper())
        assert not store.has_link("00" * 32)


def test_a_changed_version_is_named(tampered: Callable[..., str]) -> None:
    change = (
        "UPDATE entry_version SET body = replace(body, '\"pain\":4', '\"pain\":2')"
        " WHERE entry_id = 'e1' AND version = 2"
    )
    assert "version 2 of entry e1 has been changed" in tampered(change)


def test_a_removed_version_is_named(tampered: Callable[..., str]) -> None:
    remove = "DELETE FROM entry_version WHERE entry_id = 'e1' AND version = 2"
    assert "version 2 of entry e1 is gone" in tampered(remove)


def test_a_version_removed_with_its_link_leaves_a_gap(tampered: Callable[..., str]) -> None:
    what = tampered(
        "DELETE FROM entry_version WHERE entry_id = 'e1' AND version = 2",
        "DELETE FROM trail WHERE subject = 'version/e1/2'",
    )
    assert "link 3 of the trail is missing" in what


def test_a_link_made_to_look_like_a_removal_is_named(tampered: Callable[..., str]) -> None:
    what = tampered(
        "DELETE FROM entry_version WHERE entry_id = 'e1' AND version = 2",
        "UPDATE trail SET subject = NULL, salt = NULL WHERE subject = 'version/e1/2'",
    )
    assert "link 3 stood for is gone, and no removal tells of it" in what


def test_two_links_in_another_order_are_named(tampered: Callable[..., str]) -> None:
    what = tampered(
        "UPDATE trail SET number = 99 WHERE number = 2",
        "UPDATE trail SET number = 2 WHERE number = 4",
        "UPDATE trail SET number = 4 WHERE number = 99",
    )
    assert "link 2 of the trail does not follow" in what


def test_two_records_that_changed_places_are_named(tampered: Callable[..., str]) -> None:
    what = tampered(
        "UPDATE entry_version SET body = (SELECT body FROM entry_version"
        " WHERE entry_id = 'e2' AND version = 2) WHERE entry_id = 'e1' AND version = 2",
    )
    assert "version 2 of entry e1 has been changed" in what


def test_a_version_put_in_from_outside_is_named(tampered: Callable[..., str]) -> None:
    what = tampered(
        "INSERT INTO entry_version SELECT 'e3', version, visit_id, status, spoken_at, at,"
        " replace(body, '\"e1\"', '\"e3\"') FROM entry_version WHERE entry_id = 'e1'"
    )
    assert "version 1 of entry e3 was put in from outside" in what


def test_other_sound_is_named(tampered: Callable[..., str]) -> None:
    what = tampered("UPDATE clip SET flac = x'664c6143' WHERE entry_id = 'e2'")
    assert "the sound of version 1 of entry e2" in what


def test_another_end_of_the_visit_and_another_client_are_named(
    tampered: Callable[..., str],
) -> None:
    assert "visit 2026-03-02-1" in tampered("UPDATE visit SET client = 'C-015'")


def test_a_column_that_says_something_else_than_its_text_is_named(
    tampered: Callable[..., str],
) -> None:
    what = tampered("UPDATE entry_version SET status = 'withdrawn' WHERE entry_id = 'e2'")
    assert "version 1 of entry e2 says one thing in its text" in what


def test_a_changed_fact_is_named(tampered: Callable[..., str]) -> None:
    what = tampered("UPDATE client_fact SET body = replace(body, '\"no\"', '\"yes\"')")
    assert "fact on file 1 has been changed" in what


def test_an_end_cut_off_shows_by_the_link_that_was_noted(path: Path) -> None:
    with closing(SqliteStore(path)) as store:
        noted = store.check().trail.last
    with closing(sqlite3.connect(path)) as db:
        db.execute("UPDATE visit SET body = json_set(body, '$.ended_at', NULL)")
        db.execute("DELETE FROM trail WHERE number = 7")
        db.commit()
    with closing(SqliteStore(path)) as store:
        store.check()
        assert not store.has_link(noted)
