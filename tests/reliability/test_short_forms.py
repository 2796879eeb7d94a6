"""The short form of each harness of this folder; the long form is the command in its docstring."""

import os
import subprocess
import sys
from pathlib import Path

import pytest

HERE = Path(__file__).parent

posix_only = pytest.mark.skipif(os.name != "posix", reason="needs fork and signals")


def run(script: str, *options: str) -> str:
    """What a harness prints; fails with it when the harness has found something."""
    done = subprocess.run(
        [sys.executable, str(HERE / script), *options], capture_output=True, text=True,
        env=os.environ | {"PYTHONSAFEPATH": ""},  # a harness is read from beside the others
    )  # fmt: skip
    assert done.returncode == 0, done.stdout + done.stderr
    return done.stdout


@posix_only
def test_kills_and_faults_lose_nothing_that_was_announced() -> None:
    assert "\n0 lost, doubled" in run("kills.py", "--kills", "15", "--seed", "7")


@posix_only
def test_a_command_that_is_killed_is_done_or_not_and_works_again() -> None:
    assert "\n0 times something" in run("killed_commands.py", "--kills", "2", "tidy")


def test_damaged_input_brings_nothing_but_the_errors_of_the_tree() -> None:
    assert ", 0 of them found something" in run("fuzz.py", "--inputs", "1500", "--processes", "2")


@pytest.mark.skipif(sys.platform != "linux", reason="reads memory from /proc")
def test_listening_goes_on_whatever_the_sound_card_does() -> None:
    assert "nothing fell short" in run("hours.py", "--hours", "0.06")


def test_a_store_that_was_filled_at_once_is_what_the_store_would_have_written() -> None:
    small = ("--saves", "5", "--opened", "400", "--times", "1", "--searched", "2000")
    printed = run("store_speed.py", *small)
    assert "C-0014                        20 found" in printed
    assert printed.count("median") == 2 + 3 + 7


def test_nothing_reaches_out_and_no_log_holds_what_was_said() -> None:
    assert "\n0 wrong;" in run("offline.py", "--short")


def test_two_processes_on_one_store_lose_nothing() -> None:
    printed = run("together.py", "--records", "20")
    assert "2 processes, 40 records announced as saved" in printed
    assert "0 lost, 0 twice, 0 refused" in printed
