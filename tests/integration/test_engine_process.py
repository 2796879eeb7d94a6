"""A process that is begun ahead of its engine: taken once, and gone with the program."""

import os
import subprocess
import sys

import pytest

from voicelog.recognisers import engine_process

CODE = """
from voicelog.recognisers import engine_process

if __name__ == "__main__":
    engine_process.begin_ahead("voicelog.recognisers.pocketsphinx")
    process, _ = engine_process._ahead[0]
    print(process.pid)
"""


def test_the_process_begun_ahead_is_taken_once() -> None:
    engine_process.begin_ahead()
    waiting = engine_process._ahead[0]
    first, second = engine_process.taken(), engine_process.taken()
    assert first == waiting
    assert second[0].pid != first[0].pid
    for process, connection in (first, second):
        process.kill()
        process.join()
        connection.close()


@pytest.mark.skipif(os.name != "posix", reason="asks by signal whether a process is there")
def test_a_process_that_no_engine_was_made_in_ends_with_the_program() -> None:
    ran = subprocess.run(
        [sys.executable, "-c", CODE], capture_output=True, text=True, timeout=60, check=True
    )
    with pytest.raises(ProcessLookupError):
        os.kill(int(ran.stdout), 0)
