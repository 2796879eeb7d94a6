"""Runs the command as a person would, with settings and data of its own."""

import os
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
VISIT = ROOT / "audio_fixtures" / "visit.flac"
Run = Callable[..., subprocess.CompletedProcess[str]]


@pytest.fixture(scope="session")
def voicelog() -> Run:
    """`voicelog(*arguments, folder=…)`: settings, data and home all lie in the folder."""

    def run(*arguments: str, folder: Path, **environment: str) -> subprocess.CompletedProcess[str]:
        own = {
            "HOME": str(folder),
            "XDG_CONFIG_HOME": str(folder / ".config"),
            "VOICELOG_ENCRYPTED": "true",
            "VOICELOG_SETTINGS": str(folder / "settings.toml"),
            "VOICELOG_DATA_FOLDER": str(folder / "data"),
            "COLUMNS": "120",
        }
        return subprocess.run(
            [sys.executable, "-m", "voicelog", *arguments],
            capture_output=True,
            text=True,
            stdin=subprocess.DEVNULL,
            env=os.environ | own | environment,
            cwd=ROOT,
            check=False,
            timeout=300,
        )

    return run


@pytest.fixture(scope="session")
def recorded(
    tmp_path_factory: pytest.TempPathFactory, voicelog: Run
) -> tuple[subprocess.CompletedProcess[str], Path]:
    """The recorded visit, listened to as a script does; and its folder, which nobody changes."""
    folder = tmp_path_factory.mktemp("recorded")
    (folder / "temporary").mkdir()
    command = ("listen", "--client", "C-014", "--audio", str(VISIT), "--events", "--screen-later")
    done = voicelog(*command, folder=folder, TMPDIR=str(folder / "temporary"))
    assert done.returncode == 0, done.stderr
    return done, folder
