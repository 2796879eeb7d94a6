"""What a command does not need it does not load: listening starts without the desk's libraries."""

import subprocess
import sys

import pytest


@pytest.mark.parametrize(
    "heavy", ["flask", "waitress", "spacy", "sqlcipher3", "cryptography", "keyring"]
)
def test_the_command_line_starts_without_it(heavy: str) -> None:
    code = f"import sys, voicelog.cli.app; sys.exit({heavy!r} in sys.modules)"
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0
