"""What copies the records is told to end while it writes: nothing half written stays.

Exit codes of a signal: POSIX, Shell Command Language, 2.8.2.
"""

import os
import signal
import subprocess
import sys
import time
from collections.abc import Callable
from contextlib import closing
from datetime import UTC, datetime
from pathlib import Path

import pytest

from voicelog.records.content import Note
from voicelog.records.entry import Entry
from voicelog.store.base import Clip
from voicelog.store.sqlite import SqliteStore

if sys.platform == "win32":
    pytest.skip("needs signals of POSIX", allow_module_level=True)

Start = Callable[..., "subprocess.Popen[str]"]


@pytest.fixture(scope="module")
def large(start: Start, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder whose records hold 60 MB, so that copying them takes a moment."""
    folder = tmp_path_factory.mktemp("large")
    (folder / "data").mkdir()
    nine = datetime(2026, 3, 2, 9, 0, tzinfo=UTC)
    with closing(SqliteStore(folder / "data" / "records.sqlite")) as store:
        visit = store.open_visit("C-014", nine)
        for number in range(3):
            first = Entry(
                entry_id=f"{number:032x}", visit_id=visit.visit_id, client="C-014",
                status="unconfirmed", content=Note(text="long"), spoken_at=nine, at=nine, by="AB",
            )  # fmt: skip
            store.append(first, [Clip(os.urandom(20_000_000), "long", 600.0)])
        store.end_visit(visit.visit_id, nine)
    done = start("backup", str(folder / "copy.sqlite"), folder=folder)
    _, said = done.communicate(timeout=120)
    assert done.returncode == 0, said
    return folder


@pytest.mark.parametrize(
    ("command", "where"),
    [
        (("backup", "out/copy.sqlite"), "out"),
        (("archive", "--all", "--sound", "-o", "out/all.zip"), "out"),
        (("restore", "copy.sqlite"), "data"),
    ],
    ids=lambda each: each[0],
)
def test_what_was_half_written_goes_when_told_to_end(
    start: Start, large: Path, command: tuple[str, ...], where: str
) -> None:
    (large / "out").mkdir(exist_ok=True)
    before = set((large / where).iterdir())
    arguments = [
        str(large / each) if each.startswith(("out/", "copy")) else each for each in command
    ]
    process = start(*arguments, folder=large)
    while not _began(large / where, before):
        assert process.poll() is None, process.communicate()
        time.sleep(0.005)
    process.terminate()
    _, said = process.communicate(timeout=60)
    assert process.returncode == 128 + signal.SIGTERM
    assert "Traceback" not in said, said
    assert (
        set((large / where).iterdir())
        - {large / "data" / f"records.sqlite{ending}" for ending in ("-wal", "-shm")}
        == before
    )
    with closing(SqliteStore(large / "data" / "records.sqlite")) as store:
        store.check()
        (visit,) = store.visits("C-014")
        assert len(store.unconfirmed(visit.visit_id)) == 3


def _began(folder: Path, before: set[Path]) -> bool:
    """Whether a new file there has a megabyte already."""
    try:
        return any(each.stat().st_size > 1_000_000 for each in set(folder.iterdir()) - before)
    except FileNotFoundError:
        return False
