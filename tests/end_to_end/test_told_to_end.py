"""The system asks to end, a terminal is closed, a process is killed: real processes, real signals.

Exit codes of a signal: POSIX, Shell Command Language, 2.8.2; what a hang-up of the terminal does to
its processes: POSIX, General Terminal Interface, 11.1.10.
"""

import json
import os
import select
import signal
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import closing, suppress
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import soundfile

from audio_fixtures.manifest import load_manifest
from voicelog.records.content import Note
from voicelog.records.entry import Entry
from voicelog.store.base import Clip
from voicelog.store.sqlite import SqliteStore

if sys.platform == "win32":
    pytest.skip("needs signals and a terminal of POSIX", allow_module_level=True)

import termios

ROOT = Path(__file__).parents[2]
LISTEN = ("listen", "--client", "C-014", "--screen-later")
RATE_HZ = 16_000

# At a terminal of its own, with a recording in the microphone's place.
AT_A_TERMINAL = """
import fcntl, sys, termios
from pathlib import Path
fcntl.ioctl(0, termios.TIOCSCTTY, 0)
from voicelog.audio.sound_file import SoundFile
from voicelog.wiring import House
recording = Path(sys.argv.pop(1))
House.microphone = lambda house, device: SoundFile(recording)
from voicelog.cli import main
main()
"""


@pytest.fixture(scope="module")
def visit(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A dictation, a yes and another dictation, then silence for longer than any test takes."""
    fixtures = {r.path.stem: r.path for r in load_manifest().recordings() if "slt" in str(r.path)}
    pause = np.zeros(2 * RATE_HZ, np.int16)
    path = tmp_path_factory.mktemp("sound") / "visit.flac"
    with soundfile.SoundFile(path, "w", RATE_HZ, 1) as file:
        for name in ("r01", "c01", "r05"):
            file.write(pause)
            file.write(soundfile.read(fixtures[name], dtype="int16")[0])
        for _ in range(1800):
            file.write(pause)
    return path


def environment(folder: Path) -> dict[str, str]:
    own = {
        "HOME": str(folder),
        "XDG_CONFIG_HOME": str(folder / ".config"),
        "VOICELOG_SETTINGS": str(folder / "settings.toml"),
        "VOICELOG_DATA_FOLDER": str(folder / "data"),
        "XDG_CACHE_HOME": str(folder.parent / "cache"),  # networks, compiled once for all tests
        "COLUMNS": "120",
        "PYTHONPATH": str(ROOT),
    }
    return os.environ | own


def start(folder: Path, *arguments: str, **options: Any) -> "subprocess.Popen[str]":
    return subprocess.Popen(
        [sys.executable, "-m", "voicelog", *arguments],
        stdin=subprocess.DEVNULL, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True,
        env=environment(folder), cwd=ROOT, **options,
    )  # fmt: skip


def until(process: "subprocess.Popen[str]", wanted: str) -> list[dict[str, Any]]:
    """What happened, up to the first of that kind."""
    assert process.stdout is not None
    rows = []
    for line in process.stdout:
        rows.append(json.loads(line))
        if rows[-1]["event"] == wanted:
            return rows
    raise AssertionError(f"no {wanted}: {rows}")


def children(process_id: int) -> set[int]:
    listed = Path(f"/proc/{process_id}/task/{process_id}/children")
    if not listed.exists():
        pytest.skip("needs the list of children of Linux")
    return set(map(int, listed.read_text().split()))


def soon_gone(process_ids: set[int]) -> bool:
    for _ in range(100):
        if not any(Path(f"/proc/{each}").exists() for each in process_ids):
            return True
        time.sleep(0.1)
    return False


def events(done: Any) -> list[dict[str, Any]]:
    return [json.loads(line) for line in done.stdout.splitlines()]


@pytest.mark.parametrize(
    ("number", "whole_group"),
    [(signal.SIGTERM, True), (signal.SIGHUP, False)],
    ids=["to it and its engine", "to it alone"],
)
def test_a_visit_told_to_end_keeps_all_and_is_taken_up_again(
    voicelog: Callable[..., Any],
    visit: Path,
    tmp_path: Path,
    number: signal.Signals,
    whole_group: bool,
) -> None:
    process = start(tmp_path, *LISTEN, "--audio", str(visit), "--events", start_new_session=True)
    before = until(process, "saved")
    before += until(process, "proposed")
    engines = children(process.pid)
    (os.killpg if whole_group else os.kill)(process.pid, number)
    out, said = process.communicate(timeout=60)
    before += [json.loads(line) for line in out.splitlines()]
    assert process.returncode == 128 + number
    assert "Traceback" not in said, said
    announced = [row["entry_id"] for row in before if row["event"] == "saved"]
    told = " ".join(said.split())
    assert f"The visit broke off ({number.name}). The visit is kept with {len(announced)}" in told
    assert "not affirmed; run the same command to take it up again" in told
    assert before[-1]["event"] != "ended"
    assert engines
    assert soon_gone(engines)

    silent = tmp_path / "silent.wav"
    _write_silence(silent)
    cache = environment(tmp_path)["XDG_CACHE_HOME"]
    again = voicelog(*LISTEN, "--audio", str(silent), folder=tmp_path, XDG_CACHE_HOME=cache)
    assert again.returncode == 0, again.stderr
    assert "which broke off" in again.stderr
    assert "Not affirmed, so no record" in again.stdout
    listed = voicelog("export", "last", "--format", "json", folder=tmp_path)
    kept = [row["entry_id"] for row in json.loads(listed.stdout)["records"]]
    assert sorted(kept) == sorted(announced)


def _write_silence(path: Path) -> None:
    soundfile.write(path, np.zeros(RATE_HZ, np.int16), RATE_HZ)


def test_an_engine_does_not_outlive_a_program_that_was_killed(visit: Path, tmp_path: Path) -> None:
    process = start(tmp_path, *LISTEN, "--audio", str(visit), "--events")
    until(process, "heard")
    engines = children(process.pid)
    process.kill()
    process.communicate()
    assert engines
    assert soon_gone(engines)


def test_a_visit_whose_events_nobody_reads_breaks_off(visit: Path, tmp_path: Path) -> None:
    process = start(tmp_path, *LISTEN, "--audio", str(visit), "--events")
    until(process, "saved")
    assert process.stdout is not None
    assert process.stderr is not None
    process.stdout.close()
    said = " ".join(process.stderr.read().split())
    process.stderr.close()
    assert process.wait(60) == 1
    assert "broke off (nobody reads what it says). The visit is kept with" in said


@pytest.fixture
def terminal() -> Iterator[tuple[int, int]]:
    ours, theirs = os.openpty()
    yield ours, theirs
    for end in (ours, theirs):
        with suppress(OSError):  # the test closed it
            os.close(end)


def at_terminal(folder: Path, visit: Path, theirs: int) -> "subprocess.Popen[bytes]":
    return subprocess.Popen(
        [sys.executable, "-c", AT_A_TERMINAL, str(visit), *LISTEN, "--silent"],
        stdin=theirs, stdout=theirs, stderr=theirs, start_new_session=True,
        env=environment(folder) | {"VOICELOG_ENCRYPTED": "false"}, cwd=ROOT,
    )  # fmt: skip


def read_until(ours: int, process: "subprocess.Popen[bytes]", wanted: bytes) -> None:
    seen = b""
    while wanted not in seen:
        assert process.poll() is None, seen
        if select.select([ours], [], [], 1.0)[0]:
            seen += os.read(ours, 65536)


def echoes(theirs: int) -> bool:
    return bool(termios.tcgetattr(theirs)[3] & termios.ECHO)


def test_a_closed_terminal_loses_nothing(
    voicelog: Callable[..., Any], visit: Path, tmp_path: Path, terminal: tuple[int, int]
) -> None:
    ours, theirs = terminal
    process = at_terminal(tmp_path, visit, theirs)
    read_until(ours, process, b"record saved")
    engines = children(process.pid)
    os.close(theirs)
    os.close(ours)
    assert process.wait(60) in (1, 128 + signal.SIGHUP)
    assert engines
    assert soon_gone(engines)
    listed = json.loads(voicelog("export", "last", "--format", "json", folder=tmp_path).stdout)
    assert len(listed["records"]) == 1


def test_a_terminal_hears_and_echoes_again_afterwards(
    visit: Path, tmp_path: Path, terminal: tuple[int, int]
) -> None:
    ours, theirs = terminal
    process = at_terminal(tmp_path, visit, theirs)
    read_until(ours, process, b"record saved")
    assert not echoes(theirs)
    process.send_signal(signal.SIGTERM)
    _drain(ours, process)
    assert process.returncode == 128 + signal.SIGTERM
    assert echoes(theirs)


def _drain(ours: int, process: "subprocess.Popen[bytes]") -> None:
    """Read what it writes to the terminal, or it would wait for a reader."""
    for _ in range(600):
        if select.select([ours], [], [], 0.1)[0]:
            os.read(ours, 65536)
        if process.poll() is not None:
            return
    raise AssertionError("it does not end")


def test_the_desk_told_to_end_closes(tmp_path: Path) -> None:
    process = start(tmp_path, "desk", "--no-browser")
    assert process.stdout is not None
    assert process.stdout.readline().startswith("http://127.0.0.1:")
    process.terminate()
    _, said = process.communicate(timeout=30)
    assert process.returncode == 128 + signal.SIGTERM
    assert "Traceback" not in said, said


@pytest.fixture(scope="module")
def large(tmp_path_factory: pytest.TempPathFactory) -> Path:
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
    done = start(folder, "backup", str(folder / "copy.sqlite"))
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
    large: Path, command: tuple[str, ...], where: str
) -> None:
    (large / "out").mkdir(exist_ok=True)
    before = set((large / where).iterdir())
    arguments = [
        str(large / each) if each.startswith(("out/", "copy")) else each for each in command
    ]
    process = start(large, *arguments)
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
