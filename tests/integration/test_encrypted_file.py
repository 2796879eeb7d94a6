"""An encrypted store on a real disk: nothing of it can be read without its key.

SQLCipher's design (https://www.zetetic.net/sqlcipher/design/): each page AES-256 in CBC mode, its
random IV and an HMAC-SHA512 at its end, the salt in the first 16 bytes of the file.
"""

import os
import stat
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import closing
from datetime import UTC, datetime, timedelta
from pathlib import Path
from threading import Barrier

import pytest
from cryptography.hazmat.primitives.ciphers import Cipher, algorithms, modes

from voicelog.errors import StoreError
from voicelog.records.content import Note
from voicelog.records.entry import Affirmation, Entry
from voicelog.records.screen import ScreenAnswer
from voicelog.store import drivers
from voicelog.store.base import Clip
from voicelog.store.drivers import FileKey
from voicelog.store.sqlite import SqliteStore

NINE = datetime(2026, 3, 2, 9, 0, tzinfo=UTC)
LATER = NINE + timedelta(seconds=5)
YES = Affirmation(read_back="note", by="key")
KNOWN = (b"SOUND-OF-A-VOICE", b"guarded at first", b"C-014", b"Kimberly", b"SQLite format")


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return tmp_path / "folder" / "records.db"


@pytest.fixture
def store(path: Path, file_key: FileKey) -> Iterator[SqliteStore]:
    with closing(SqliteStore(path, key=file_key)) as made:
        yield made


def fill(store: SqliteStore) -> Entry:
    visit = store.open_visit("C-014", NINE)
    first = Entry(
        entry_id="e1", visit_id=visit.visit_id, client="C-014", status="unconfirmed",
        content=Note(text="guarded at first"), spoken_at=NINE, at=NINE, by="Kimberly",
    )  # fmt: skip
    store.append(first, [Clip(KNOWN[0] * 2000, "guarded at first", 4.0)])
    store.append(first.confirm(YES, LATER))
    store.add_facts(
        ScreenAnswer(client="C-014", item="A1", answer="no", asked_by="Kimberly", asked_at=NINE)
    )
    return first


def readable(folder: Path) -> set[bytes]:
    content = b"".join(file.read_bytes() for file in folder.rglob("*") if file.is_file())
    assert len(content) > 4096
    return {known for known in KNOWN if known in content}


def page(path: Path, number: int, key: FileKey) -> bytes:
    """One page decrypted by hand, from the description of SQLCipher's design."""
    with path.open("rb") as file:
        file.seek((number - 1) * 4096)
        raw = file.read(4096)
    iv, sealed = raw[-80:-64], raw[16 if number == 1 else 0 : -80]
    return Cipher(algorithms.AES(key.raw[:32]), modes.CBC(iv)).decryptor().update(sealed)


def test_what_is_known_to_be_in_it_is_in_no_byte_of_its_files(
    store: SqliteStore, path: Path
) -> None:
    fill(store)
    assert {f.name for f in path.parent.iterdir()} >= {"records.db", "records.db-wal"}
    assert readable(path.parent) == set()
    store.close()
    assert readable(path.parent) == set()


def test_the_same_words_are_found_in_a_plain_file(tmp_path: Path) -> None:
    """Else the test above would prove nothing."""
    with closing(SqliteStore(tmp_path / "records.db")) as store:
        fill(store)
        assert readable(tmp_path) == set(KNOWN)


def test_each_page_is_aes_256_under_that_key(
    store: SqliteStore, path: Path, file_key: FileKey
) -> None:
    fill(store)
    store.close()
    assert path.read_bytes()[:16] == file_key.raw[32:]
    pages = [page(path, n, file_key) for n in range(1, path.stat().st_size // 4096 + 1)]
    # SQLite's file format: after the 16 bytes that the salt stands for, the page size.
    assert pages[0][:2] == (4096).to_bytes(2)
    assert any(b"guarded at first" in content for content in pages)


def test_no_temporary_file_is_made_anywhere(
    store: SqliteStore, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    place = tmp_path / "temporary"
    place.mkdir()
    monkeypatch.setenv("SQLITE_TMPDIR", str(place))
    monkeypatch.setattr(tempfile, "tempdir", str(place))
    fill(store)
    before = place.stat().st_mtime_ns
    for statement in ("VACUUM", "SELECT body FROM entry_version ORDER BY hex(body)"):
        store._connection.execute(statement).fetchall()
    # https://sqlite.org/pragma.html#pragma_temp_store: 2 is MEMORY.
    assert store._connection.execute("PRAGMA temp_store").fetchone() == (2,)
    assert place.stat().st_mtime_ns == before


def test_another_key_opens_nothing_and_changes_nothing(
    store: SqliteStore, path: Path, capfd: pytest.CaptureFixture[str]
) -> None:
    fill(store)
    store.close()
    before = path.read_bytes()
    for key in (FileKey(bytes(48)), None):
        with pytest.raises(StoreError, match="encrypted") as caught:
            SqliteStore(path, key=key)
        assert caught.value.kept
        assert caught.value.do
    assert path.read_bytes() == before
    assert capfd.readouterr().err == ""


def test_one_byte_changed_in_the_file_is_found_by_its_seal(
    store: SqliteStore, path: Path, file_key: FileKey
) -> None:
    # SQLCipher's PRAGMA cipher_integrity_check: every page's HMAC.
    fill(store)
    store.check()
    store.close()
    content = bytearray(path.read_bytes())
    content[-2048] ^= 1
    path.write_bytes(content)
    with (
        closing(SqliteStore(path, key=file_key)) as store,
        pytest.raises(StoreError, match="damaged"),
    ):
        store.check()


def test_everything_is_there_after_opening_again(
    store: SqliteStore, path: Path, file_key: FileKey
) -> None:
    first = fill(store)
    store.close()
    with closing(SqliteStore(path, key=file_key)) as again:
        assert again.history("e1") == (first, first.confirm(YES, LATER))
        assert again.clips("e1")[0].flac == KNOWN[0] * 2000
        again.check()


@pytest.mark.skipif(os.name != "posix", reason="file modes are a matter of POSIX")
def test_nobody_else_may_read_the_encrypted_file_either(store: SqliteStore, path: Path) -> None:
    fill(store)
    assert {stat.S_IMODE(f.stat().st_mode) for f in path.parent.iterdir()} == {0o600}


def test_the_settings_that_make_a_commit_last_hold_under_encryption(store: SqliteStore) -> None:
    def setting(name: str) -> object:
        return store._connection.execute(f"PRAGMA {name}").fetchone()[0]

    assert setting("journal_mode") == "wal"
    assert int(str(setting("synchronous"))) in (2, 3)
    assert setting("secure_delete") == 1
    assert setting("cipher_version")


def test_a_new_encrypted_file_that_eight_open_at_once_is_set_up_once(
    tmp_path: Path, file_key: FileKey
) -> None:
    for number in range(10):
        path = tmp_path / f"folder{number}" / "records.db"
        together = Barrier(8)

        def open_and_close(_: int, path: Path = path, together: Barrier = together) -> bool:
            together.wait()
            SqliteStore(path, wait_s=30, key=file_key).close()
            return True

        with ThreadPoolExecutor(8) as threads:
            assert all(threads.map(open_and_close, range(8)))
        with closing(SqliteStore(path, key=file_key)) as store:
            store.check()


WRITER = """
import sys
from datetime import UTC, datetime
from pathlib import Path
from voicelog.records.content import Trial
from voicelog.records.entry import Entry
from voicelog.store.drivers import FileKey
from voicelog.store.sqlite import SqliteStore

path, visit_id, name = sys.argv[1:]
at = datetime(2026, 3, 2, 9, 0, tzinfo=UTC)
store = SqliteStore(Path(path), wait_s=30, key=FileKey(bytes(range(48))))
for number in range(40):
    store.append(Entry(
        entry_id=f"{name}-{number}", visit_id=visit_id, client="C-014", status="unconfirmed",
        content=Trial(pain=number % 11), spoken_at=at, at=at, by=name,
    ))
store.close()
"""


def test_two_practitioners_write_into_one_encrypted_store_at_once(
    store: SqliteStore, path: Path
) -> None:
    visit = store.open_visit("C-014", NINE)
    command = [sys.executable, "-c", WRITER, str(path), visit.visit_id]
    running = [subprocess.Popen([*command, name]) for name in ("AB", "CD")]
    assert [program.wait() for program in running] == [0, 0]
    waiting = store.unconfirmed(visit.visit_id)
    assert sorted(entry.by for entry in waiting) == ["AB"] * 40 + ["CD"] * 40
    store.check()


def test_without_the_library_it_says_what_to_install(
    path: Path, file_key: FileKey, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setitem(sys.modules, "sqlcipher3", None)
    with pytest.raises(StoreError, match="sqlcipher3") as caught:
        SqliteStore(path, key=file_key)
    assert "pip install" in caught.value.do
    assert not drivers.is_plain(path)
