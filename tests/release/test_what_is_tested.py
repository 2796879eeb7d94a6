"""Programs that the tests start meet the same package, and the signals of a terminal."""

import os
import subprocess
import sys
from pathlib import Path

import pytest

import voicelog

ROOT = Path(__file__).parents[2]
posix_only = pytest.mark.skipif(os.name != "posix", reason="only POSIX hands ignored signals on")


def said(code: str, folder: Path) -> str:
    command = [sys.executable, "-c", code]
    return subprocess.run(command, capture_output=True, text=True, cwd=folder, check=True).stdout


def test_programs_meet_the_package_that_the_tests_meet_wherever_they_start(tmp_path: Path) -> None:
    for folder in (ROOT, tmp_path):
        assert (
            said("import voicelog; print(voicelog.__file__)", folder).strip() == voicelog.__file__
        )


@posix_only
def test_programs_start_with_the_signals_of_a_terminal(tmp_path: Path) -> None:
    code = "import signal as s; print(s.SIG_IGN in map(s.getsignal, (s.SIGHUP, s.SIGINT)))"
    assert said(code, tmp_path) == "False\n"


@posix_only
def test_they_do_so_when_the_tests_run_in_the_background_too() -> None:
    """As under nohup, or behind an & in a script (POSIX, Shell Command Language, 2.11)."""
    again = f"{__file__}::test_programs_start_with_the_signals_of_a_terminal"
    command = [sys.executable, "-m", "pytest", "-q", "-p", "no:cacheprovider", again]
    background = ["sh", "-c", 'trap "" INT HUP; exec "$@"', "sh", *command]
    done = subprocess.run(background, capture_output=True, text=True, cwd=ROOT, check=False)
    assert done.returncode == 0, done.stdout
