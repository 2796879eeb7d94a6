"""Killed in the middle of its work, at any moment: what was announced as kept is there.

SQLite's own account of what a commit in WAL mode withstands: https://sqlite.org/wal.html and
https://sqlite.org/atomiccommit.html. A kill tests the program's side of it (nothing is announced
too early, nothing half-written is found again); a power cut cannot be tried here, so the sync
settings are checked beside the other settings of the file.
"""

import os
import random
import signal
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import closing
from datetime import UTC, datetime
from pathlib import Path

import pytest

from voicelog.store.base import Clip
from voicelog.store.sqlite import SqliteStore

NINE = datetime(2026, 3, 2, 9, 0, tzinfo=UTC)
ROUNDS = 20

pytestmark = pytest.mark.skipif(
    os.name != "posix", reason="needs a kill that cannot be caught, and fork"
)

WRITER = """
import os
import sys
from datetime import UTC, datetime
from pathlib import Path
from voicelog.records.content import Trial
from voicelog.records.entry import Affirmation, Entry
from voicelog.store.base import Clip
from voicelog.store.sqlite import SqliteStore

path, visit_id = sys.argv[1:]
at = datetime(2026, 3, 2, 9, 0, tzinfo=UTC)
yes = Affirmation(read_back="pain four", by="voice")

def say(*words):
    # In one call, or a kill could come before the end of the line: PIPE_BUF of POSIX, from memory.
    os.write(1, (" ".join(map(str, words)) + "\\n").encode())

def write(name, count):
    store = SqliteStore(Path(path), wait_s=30)
    for number in range(count):
        first = Entry(
            entry_id=f"{name}-{number}", visit_id=visit_id, client="C-014", status="unconfirmed",
            content=Trial(pain=number % 11), spoken_at=at, at=at, by="AB",
        )
        store.append(first, [Clip(first.entry_id.encode() * 2000, first.entry_id, 2.0)])
        say(first.entry_id, 1)
        store.append(first.confirm(yes, at))
        say(first.entry_id, 2)
    store.close()

for line in sys.stdin:
    name, count = line.split()
    child = os.fork()
    if child == 0:
        write(name, int(count))
        os._exit(0)
    say(child)
    os.waitpid(child, 0)
    say("end")
"""


class Writer:
    """A program that starts, for each order, a process that appends and says what is kept."""

    def __init__(self, path: Path, visit_id: str) -> None:
        self._program = subprocess.Popen(
            [sys.executable, "-c", WRITER, str(path), visit_id],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            text=True,
        )

    def order(self, name: str, count: int) -> None:
        assert self._program.stdin
        self._program.stdin.write(f"{name} {count}\n")
        self._program.stdin.flush()

    def lines(self) -> Iterator[list[str]]:
        """The words of each line until the process has ended, by itself or by a kill."""
        assert self._program.stdout
        for line in iter(self._program.stdout.readline, "end\n"):
            assert line.endswith("\n"), "the program itself has failed"
            yield line.split()

    def close(self) -> None:
        with self._program:
            self._program.communicate()


def steps_until_killed(writer: Writer, name: str, after_s: float) -> list[tuple[str, int]]:
    """What a process announced as kept before it was killed, `after_s` after its first step."""
    writer.order(name, 100_000)
    child, steps = 0, list[tuple[str, int]]()
    for words in writer.lines():
        if len(words) == 1:
            child = int(words[0])
            continue
        steps.append((words[0], int(words[1])))
        if len(steps) == 1:
            time.sleep(after_s)
            os.kill(child, signal.SIGKILL)
    return steps


def test_everything_announced_survives_a_kill_at_any_moment(tmp_path: Path) -> None:
    path = tmp_path / "records.db"
    with closing(SqliteStore(path)) as store:
        visit_id = store.open_visit("C-014", NINE).visit_id
    moments = random.Random(20260302)
    said: dict[str, int] = {}
    with closing(Writer(path, visit_id)) as writer:
        for number in range(ROUNDS):
            steps = steps_until_killed(writer, f"k{number}", moments.uniform(0, 0.06))
            said.update(steps)
            with closing(SqliteStore(path)) as store:
                store.check()
    assert len(said) > ROUNDS
    with closing(SqliteStore(path)) as store:
        for entry_id, version in said.items():
            assert version <= len(store.history(entry_id)) <= 2
            assert store.clips(entry_id) == (Clip(entry_id.encode() * 2000, entry_id, 2.0),)
        found = [e.entry_id for e in (*store.records(visit_id), *store.unconfirmed(visit_id))]
    assert len(found) == len(set(found))
    assert said.keys() <= set(found)
    # At most one step of each round was kept without its announcement getting out.
    assert len(found) - len(said) <= ROUNDS


def test_several_programs_write_at_once_and_none_loses_a_step(tmp_path: Path) -> None:
    path = tmp_path / "records.db"
    with closing(SqliteStore(path)) as store:
        visit_id = store.open_visit("C-014", NINE).visit_id
        writers = [Writer(path, visit_id) for _ in range(3)]
        for number, writer in enumerate(writers):
            writer.order(f"w{number}", 30)
        for writer in writers:
            assert len([words for words in writer.lines() if len(words) == 2]) == 2 * 30
            writer.close()
        assert len(store.records(visit_id)) == 3 * 30
        store.check()
