"""A client who is removed leaves no trace in the file, by its raw bytes; nor does old sound.

What SQLite promises of deleted content: https://sqlite.org/pragma.html#pragma_secure_delete and
https://sqlite.org/lang_vacuum.html. An encrypted file is decrypted page by page to look at its
bytes, free pages and all.
"""

import sqlite3
from collections.abc import Iterator
from contextlib import closing
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from cryptography.hazmat.primitives.ciphers import Cipher, algorithms, modes

from voicelog.errors import StoreError
from voicelog.records.content import Note
from voicelog.records.entry import Affirmation, Entry
from voicelog.records.screen import ScreenAnswer
from voicelog.store.base import Clip
from voicelog.store.drivers import FileKey
from voicelog.store.removal import Hand, Removed
from voicelog.store.sqlite import SqliteStore

NINE = datetime(2026, 3, 2, 9, 0, tzinfo=UTC)
HAND = Hand("AB", NINE + timedelta(days=90))
YES = Affirmation(read_back="", by="key")
TRACES = (b"C-014", b"marmalade", b"armalad", b"SOUND-OF-C-FOURTEEN", b"FOURTEEN", b"quince")
STAYS = (b"C-015", b"rhubarb", b"SOUND-OF-C-FIFTEEN")


def entry(visit_id: str, client: str, name: str, text: str, at: datetime) -> Entry:
    return Entry(
        entry_id=name, visit_id=visit_id, client=client, status="unconfirmed",
        content=Note(text=text), spoken_at=at, at=at, by="AB",
    )  # fmt: skip


def fill(store: SqliteStore) -> None:
    """Two clients over many pages, one record of each in turn."""
    visits = {code: store.open_visit(code, NINE).visit_id for code in ("C-014", "C-015")}
    for number in range(10):
        for code, text, sound in (
            ("C-014", "marmalade toast", b"SOUND-OF-C-FOURTEEN"),
            ("C-015", "rhubarb pie", b"SOUND-OF-C-FIFTEEN"),
        ):
            at = NINE + timedelta(days=number)
            first = entry(visits[code], code, f"{code[-2:]}-{number}", text, at)
            store.append(first, [Clip(sound * 300, text, 2.0)])
            store.append(first.confirm(YES, at))
    store.append(entry(visits["C-014"], "C-014", "14-late", "quince", NINE))
    for code in visits:
        store.add_facts(
            ScreenAnswer(client=code, item="A1", answer="no", asked_by="AB", asked_at=NINE)
        )
        store.end_visit(visits[code], NINE + timedelta(hours=1))


@pytest.fixture(params=["plain", "encrypted"])
def store(
    request: pytest.FixtureRequest, tmp_path: Path, file_key: FileKey
) -> Iterator[SqliteStore]:
    key = file_key if request.param == "encrypted" else None
    with closing(SqliteStore(tmp_path / "records.db", key=key)) as made:
        fill(made)
        yield made


def on_disk(store: SqliteStore) -> bytes:
    """All that lies on the disk, decrypted; the log is a copy of pages under the same key."""
    parts = []
    for file in store.path.parent.iterdir():
        content = file.read_bytes()
        if store.key is None or file.suffix.endswith("-shm"):
            parts.append(content)
            continue
        log = file.suffix.endswith("-wal")
        # https://sqlite.org/fileformat.html#the_write_ahead_log: 32 bytes, then frames of 24 + 4096
        head, step = (32 + 24, 4096 + 24) if log else (0, 4096)
        for start in range(head, len(content), step):
            parts.append(decrypted(content[start : start + 4096], store.key))
    return b"".join(parts)


def decrypted(page: bytes, key: FileKey) -> bytes:
    skip = 16 if page[:16] == key.raw[32:] else 0
    cipher = Cipher(algorithms.AES(key.raw[:32]), modes.CBC(page[-80:-64]))
    return cipher.decryptor().update(page[skip:-80])


def found(store: SqliteStore, words: tuple[bytes, ...]) -> set[bytes]:
    content = on_disk(store)
    return {word for word in words if word in content}


def test_a_client_who_is_removed_is_in_no_byte_of_the_file(store: SqliteStore) -> None:
    assert found(store, TRACES) == set(TRACES)
    assert store.remove_client("C-014", HAND) == Removed(1, 21, 1, 10)
    assert found(store, TRACES) == set()
    assert found(store, STAYS) == set(STAYS)
    store.close()
    with closing(SqliteStore(store.path, key=store.key)) as again:
        assert found(again, TRACES) == set()


def test_nothing_of_the_client_is_found_any_more_and_all_of_the_others_is(
    store: SqliteStore,
) -> None:
    store.remove_client("C-014", HAND)
    assert store.clients() == ("C-015",)
    assert store.visits("C-014") == ()
    assert store.find("marmalade") == ()
    assert store.facts("C-014", ScreenAnswer) == ()
    assert len(store.find("rhubarb", 100)) == 10
    assert len(store.clips("15-0")) == 1


def test_the_trail_still_holds_and_tells_that_something_was_removed(store: SqliteStore) -> None:
    noted = store.check().trail
    store.remove_client("C-014", HAND)
    now = store.check()
    assert now.trail.links == noted.links + 1
    assert store.has_link(noted.last)
    assert now.rows["removal"] == 1


def test_the_links_of_a_removed_client_can_be_matched_with_nothing(store: SqliteStore) -> None:
    """Who knows what was said cannot prove it by the digest: its salt is gone too."""
    store.remove_client("C-014", HAND)
    left = store._connection.execute(
        "SELECT count(*), count(salt), count(sounds) FROM trail WHERE subject IS NULL"
    ).fetchone()
    assert left == (21 + 3, 0, 0)


def test_a_client_of_whom_nothing_is_kept_is_said_to_be_unknown(store: SqliteStore) -> None:
    with pytest.raises(StoreError, match="Nothing is on record for C-999"):
        store.remove_client("C-999", HAND)
    assert store.check().rows["removal"] == 0


def test_records_can_be_kept_of_a_removed_client_again(store: SqliteStore) -> None:
    store.remove_client("C-014", HAND)
    again = store.open_visit("C-014", NINE)
    store.append(entry(again.visit_id, "C-014", "14-0", "new", NINE))
    store.add_facts(
        ScreenAnswer(client="C-014", item="A1", answer="no", asked_by="AB", asked_at=NINE)
    )
    store.check()


def test_another_program_that_reads_meanwhile_is_named(store: SqliteStore) -> None:
    with closing(SqliteStore(store.path, wait_s=0.05, key=store.key)) as reader:
        reader._connection.execute("BEGIN")
        reader._connection.execute("SELECT count(*) FROM visit").fetchone()
        store._connection.execute("PRAGMA busy_timeout = 50")
        with pytest.raises(StoreError, match="another program has the records open") as caught:
            store.remove_client("C-014", HAND)
        assert "removed" in caught.value.kept
        reader._connection.execute("ROLLBACK")
    store.close()
    with closing(SqliteStore(store.path, key=store.key)) as again:
        assert found(again, TRACES) == set()
        again.check()


def test_old_sound_goes_and_its_records_stay(store: SqliteStore) -> None:
    limit = NINE + timedelta(days=5)
    assert store.remove_sound(limit, HAND) == Removed(clips=10)
    for number in range(10):
        assert len(store.clips(f"14-{number}")) == (0 if number < 5 else 1)
    assert len(store.find("marmalade", 100)) == 10
    store.check()
    assert store.remove_sound(limit, HAND) == Removed()
    assert store.check().rows["removal"] == 1


def test_old_sound_is_in_no_byte_of_the_file(store: SqliteStore) -> None:
    store.remove_sound(NINE + timedelta(days=365), HAND)
    assert found(store, (b"SOUND-OF-C-FOURTEEN", b"SOUND-OF-C-FIFTEEN")) == set()


def test_a_removal_that_was_made_up_is_named(tmp_path: Path) -> None:
    path = tmp_path / "records.db"
    with closing(SqliteStore(path)) as store:
        fill(store)
    with closing(sqlite3.connect(path)) as db:
        db.execute("""INSERT INTO removal (body) VALUES ('{"links": [2], "by": "AB"}')""")
        db.commit()
    with closing(SqliteStore(path)) as store, pytest.raises(StoreError, match="removal 1 was put"):
        store.check()
