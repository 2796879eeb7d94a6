"""Runs the command as a person would, with settings and data of its own."""

import os
import subprocess
import sys
from collections.abc import Callable, Iterator
from contextlib import suppress
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import soundfile

from audio_fixtures.manifest import load_manifest

ROOT = Path(__file__).parents[2]
VISIT = ROOT / "audio_fixtures" / "visit.flac"
RATE_HZ = 16_000
Run = Callable[..., subprocess.CompletedProcess[str]]
Start = Callable[..., "subprocess.Popen[str]"]


def at_home(folder: Path, cache: Path) -> dict[str, str]:
    """An environment in which settings, data and home all lie in the folder."""
    own = {
        "HOME": str(folder),
        "XDG_CONFIG_HOME": str(folder / ".config"),
        "VOICELOG_ENCRYPTED": "true",
        "VOICELOG_SETTINGS": str(folder / "settings.toml"),
        "VOICELOG_DATA_FOLDER": str(folder / "data"),
        "XDG_CACHE_HOME": str(cache),
        "NO_PROXY": "127.0.0.1",
        "COLUMNS": "120",
    }
    return os.environ | own


@pytest.fixture(scope="session")
def cache(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Where networks are kept, so that they are compiled once for all tests."""
    return tmp_path_factory.mktemp("cache")


@pytest.fixture(scope="session")
def voicelog(cache: Path) -> Run:
    """`voicelog(*arguments, folder=…)`: settings, data and home all lie in the folder."""

    def run(*arguments: str, folder: Path, **environment: str) -> subprocess.CompletedProcess[str]:
        return subprocess.run(
            [sys.executable, "-m", "voicelog", *arguments],
            capture_output=True,
            text=True,
            stdin=subprocess.DEVNULL,
            env=at_home(folder, cache) | environment,
            cwd=ROOT,
            check=False,
            timeout=300,
        )

    return run


@pytest.fixture(scope="session")
def start(cache: Path) -> Iterator[Start]:
    """`start(*arguments, folder=…)`: the same while it runs; `code` runs in the command's place."""
    begun: list[subprocess.Popen[str]] = []

    def begin(*arguments: str, folder: Path, code: str = "", **how: Any) -> subprocess.Popen[str]:
        pipes = {"stdin": subprocess.DEVNULL, "stdout": subprocess.PIPE, "stderr": subprocess.PIPE}
        command = ["-c", code] if code else ["-m", "voicelog"]
        begun.append(
            subprocess.Popen(
                [sys.executable, *command, *arguments],
                text=True,
                env=at_home(folder, cache),
                cwd=ROOT,
                **pipes | how,
            )
        )
        return begun[-1]

    yield begin
    for process in begun:
        with process, suppress(ProcessLookupError):
            process.kill()


@pytest.fixture(scope="session")
def spoken(tmp_path_factory: pytest.TempPathFactory) -> Callable[..., Path]:
    """`spoken(*names, silence_s=…)`: one voice with pauses, and silence at the end."""
    fixtures = {r.path.stem: r.path for r in load_manifest().recordings() if "slt" in str(r.path)}
    pause = np.zeros(2 * RATE_HZ, np.int16)

    def made(*names: str, silence_s: int) -> Path:
        path = tmp_path_factory.mktemp("sound") / "visit.flac"
        with soundfile.SoundFile(path, "w", RATE_HZ, 1) as file:
            for name in names:
                file.write(pause)
                file.write(soundfile.read(fixtures[name], dtype="int16")[0])
            for _ in range(silence_s // 2):
                file.write(pause)
        return path

    return made


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
