"""What a person could send after an error that nobody expected: no word, no value, no code.

Python's own account ends with the message of the error (Python Library Reference, traceback), and
that of a rejected record holds the record; here each is raised where the records are, in the
command itself, in a thread, in a destructor, and in a form of the desk.
"""

import os
import subprocess
import sys
from pathlib import Path

import pytest

from voicelog.errors import account_of

ROOT = Path(__file__).parents[2]
CLIENT = "C-0147"
SAID = ("dorsiflexion", "pinching", "banded heel glide", CLIENT)

BREAKS = """
import sys, threading
from voicelog.cli import main
from voicelog.cli import visits
from voicelog.records.content import Trial

class Remembered:
    def __del__(self):
        raise LookupError("pinching of C-0147")

def broken(*_, **__):
    said = "left ankle dorsiflexion pain six, pinching"
    thread = threading.Thread(target=lambda: {}[said + " C-0147"])
    thread.start()
    thread.join()
    Remembered()
    try:
        Trial(side="left", joint="ankle", pain="pinching, by C-0147")
    except ValueError as error:
        raise RuntimeError("banded heel glide for C-0147") from error

visits.house = broken
sys.argv = ["voicelog", "visits", "C-0147"]
main()
"""


def test_no_account_of_a_breakdown_holds_what_was_said_or_a_code(tmp_path: Path) -> None:
    own = {"HOME": str(tmp_path), "VOICELOG_DATA_FOLDER": str(tmp_path)}
    done = subprocess.run(
        [sys.executable, "-c", BREAKS], capture_output=True, text=True, cwd=ROOT,
        env=os.environ | own, stdin=subprocess.DEVNULL, check=False,
    )  # fmt: skip
    assert done.returncode == 1
    for kind in ("KeyError", "LookupError", "ValidationError\n", "and from that\nRuntimeError"):
        assert kind in done.stderr, done.stderr
    assert "cli/app.py, line" in done.stderr
    assert "Traceback" not in done.stderr
    assert not [word for word in SAID if word in done.stderr + done.stdout]
    assert str(tmp_path) not in done.stderr


def test_an_account_names_kinds_and_places_in_order() -> None:
    def inner() -> None:
        raise KeyError("left ankle")

    def outer() -> None:
        try:
            inner()
        except KeyError as error:
            raise ValueError("pain six") from error

    with pytest.raises(ValueError, match="pain six") as caught:
        outer()
    told = account_of(caught.value)
    assert [line for line in told.splitlines() if not line.startswith("  ")] == [
        "KeyError", "and from that", "ValueError",
    ]  # fmt: skip
    assert told.count(", inner\n") == 1
    assert "ankle" not in told
    assert "pain" not in told


@pytest.mark.skipif(os.name != "posix", reason="limits are a matter of POSIX")
def test_a_crash_of_the_process_leaves_no_core_file(tmp_path: Path) -> None:
    """setrlimit(2): with RLIMIT_CORE at 0 no core file is made."""
    code = (
        "import resource; from voicelog.cli.unexpected import tell_no_words; tell_no_words();"
        "print(resource.getrlimit(resource.RLIMIT_CORE))"
    )
    done = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, cwd=ROOT, check=True
    )
    assert done.stdout == "(0, 0)\n"
