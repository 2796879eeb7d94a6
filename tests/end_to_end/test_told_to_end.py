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
from contextlib import suppress
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import soundfile

from voicelog.cli import main

if sys.platform == "win32":
    pytest.skip("needs signals and a terminal of POSIX", allow_module_level=True)

import termios

Start = Callable[..., "subprocess.Popen[str]"]
LISTEN = ("listen", "--client", "C-014", "--screen-later")
RATE_HZ = 16_000

# At a terminal of its own, with a recording in the microphone's place.
AT_A_TERMINAL = """
import fcntl, os, sys, termios
from pathlib import Path
os.environ["VOICELOG_ENCRYPTED"] = "false"  # or it would ask for a passphrase there
fcntl.ioctl(0, termios.TIOCSCTTY, 0)
from voicelog.audio.sound_file import SoundFile
from voicelog.wiring import House
recording = Path(sys.argv.pop(1))
House.microphone = lambda house, device: SoundFile(recording)
from voicelog.cli import main
main()
"""


@pytest.fixture(scope="module")
def visit(spoken: Callable[..., Path]) -> Path:
    """A dictation, a yes and another dictation, then silence for longer than any test takes."""
    return spoken("r01", "c01", "r05", silence_s=3600)


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
    start: Start,
    visit: Path,
    tmp_path: Path,
    number: signal.Signals,
    whole_group: bool,
) -> None:
    listen = (*LISTEN, "--audio", str(visit), "--events")
    process = start(*listen, folder=tmp_path, start_new_session=True)
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
    again = voicelog(*LISTEN, "--audio", str(silent), folder=tmp_path)
    assert again.returncode == 0, again.stderr
    assert "which broke off" in again.stderr
    assert "Not affirmed, so no record" in again.stdout
    listed = voicelog("export", "last", "--format", "json", folder=tmp_path)
    kept = [row["entry_id"] for row in json.loads(listed.stdout)["records"]]
    assert sorted(kept) == sorted(announced)


def _write_silence(path: Path) -> None:
    soundfile.write(path, np.zeros(RATE_HZ, np.int16), RATE_HZ)


def test_an_engine_does_not_outlive_a_program_that_was_killed(
    start: Start, visit: Path, tmp_path: Path
) -> None:
    process = start(*LISTEN, "--audio", str(visit), "--events", folder=tmp_path)
    until(process, "heard")
    engines = children(process.pid)
    process.kill()
    process.communicate()
    assert engines
    assert soon_gone(engines)


def test_a_visit_whose_events_nobody_reads_breaks_off(
    start: Start, visit: Path, tmp_path: Path
) -> None:
    process = start(*LISTEN, "--audio", str(visit), "--events", folder=tmp_path)
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


@pytest.fixture
def dictating(
    start: Start, visit: Path, tmp_path: Path, terminal: tuple[int, int]
) -> "subprocess.Popen[str]":
    """A visit at a terminal of its own."""
    _, theirs = terminal
    return start(
        str(visit), *LISTEN, "--silent", code=AT_A_TERMINAL, folder=tmp_path,
        stdin=theirs, stdout=theirs, stderr=theirs, start_new_session=True,
    )  # fmt: skip


def read_until(ours: int, process: "subprocess.Popen[str]", wanted: bytes) -> None:
    seen = b""
    while wanted not in seen:
        assert process.poll() is None, seen
        if select.select([ours], [], [], 1.0)[0]:
            seen += os.read(ours, 65536)


def echoes(theirs: int) -> bool:
    return bool(termios.tcgetattr(theirs)[3] & termios.ECHO)


def test_a_closed_terminal_loses_nothing(
    voicelog: Callable[..., Any],
    dictating: "subprocess.Popen[str]",
    tmp_path: Path,
    terminal: tuple[int, int],
) -> None:
    ours, theirs = terminal
    read_until(ours, dictating, b"record saved")
    engines = children(dictating.pid)
    os.close(theirs)
    os.close(ours)
    assert dictating.wait(60) in (1, 128 + signal.SIGHUP)
    assert engines
    assert soon_gone(engines)
    listed = json.loads(voicelog("export", "last", "--format", "json", folder=tmp_path).stdout)
    assert len(listed["records"]) == 1


def test_a_terminal_hears_and_echoes_again_afterwards(
    dictating: "subprocess.Popen[str]", terminal: tuple[int, int]
) -> None:
    ours, theirs = terminal
    read_until(ours, dictating, b"record saved")
    assert not echoes(theirs)
    dictating.send_signal(signal.SIGTERM)
    _drain(ours, dictating)
    assert dictating.returncode == 128 + signal.SIGTERM
    assert echoes(theirs)


def _drain(ours: int, process: "subprocess.Popen[str]") -> None:
    """Read what it writes to the terminal, or it would wait for a reader."""
    for _ in range(600):
        if select.select([ours], [], [], 0.1)[0]:
            os.read(ours, 65536)
        if process.poll() is not None:
            return
    raise AssertionError("it does not end")


def test_the_desk_told_to_end_closes(start: Start, tmp_path: Path) -> None:
    process = start("desk", "--no-browser", folder=tmp_path)
    assert process.stdout is not None
    assert process.stdout.readline().startswith("http://127.0.0.1:")
    process.terminate()
    _, said = process.communicate(timeout=30)
    assert process.returncode == 128 + signal.SIGTERM
    assert "Traceback" not in said, said


def test_ctrl_c_before_a_command_has_begun_shows_no_error(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    def interrupted() -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr("voicelog.cli.app.main", interrupted)
    with pytest.raises(SystemExit) as left:
        main()
    assert left.value.code == 128 + 2
    assert capsys.readouterr() == ("", "")
