"""Runs the command as a person would, with settings and data of its own."""

import os
import subprocess
import sys
from collections.abc import Callable, Iterator
from contextlib import suppress
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np
import pytest
import soundfile

from audio_fixtures.manifest import load_manifest
from tests.end_to_end.practice import Practice
from voicelog.corrections.room import Room
from voicelog.desk.app import make_app
from voicelog.desk.door import Door
from voicelog.desk.serve import Server
from voicelog.settings.fields import Settings
from voicelog.wiring import House

if TYPE_CHECKING:
    from playwright.sync_api import Browser
from tests.end_to_end.at_desk import AtDesk, Fill

ROOT = Path(__file__).parents[2]
RECORDING = ROOT / "audio_fixtures" / "visit.flac"
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
    command = (
        "listen",
        "--client",
        "C-014",
        "--audio",
        str(RECORDING),
        "--events",
        "--screen-later",
    )
    done = voicelog(*command, folder=folder, TMPDIR=str(folder / "temporary"))
    assert done.returncode == 0, done.stderr
    return done, folder


@pytest.fixture
def practice(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> Practice:
    """A practice without records, and a terminal in it."""
    return Practice(tmp_path, monkeypatch, capsys)


@pytest.fixture(scope="module")
def room(tmp_path_factory: pytest.TempPathFactory) -> Room:
    """The room in which the desk stands, on an evening."""
    house = House(Settings(data_folder=tmp_path_factory.mktemp("desk"), practitioner="lee"))
    return Room(house, lambda: datetime(2026, 3, 2, 18, 0, tzinfo=UTC))


@pytest.fixture
def desk(chromium: "Browser", room: Room, dictated: Fill) -> Iterator[AtDesk]:
    """The desk with one visit, and nothing wrong in the browser at the end."""
    room.house.settings.store_file.unlink(missing_ok=True)
    with room.store() as store:
        dictated(store)
    door = Door(600)
    server = Server(make_app(room, door))
    context = chromium.new_context(accept_downloads=True)
    context.set_default_timeout(30_000)  # the first page waits for the reader of notes
    page = context.new_page()
    at = AtDesk(page, door, room, server.address, [], [])
    page.on("console", lambda message: at.complaints.append(message.text))
    page.on("pageerror", lambda error: at.complaints.append(str(error)))
    page.on(
        "request",
        lambda asked: None if asked.url.startswith(at.address) else at.elsewhere.append(asked.url),
    )
    page.goto(f"{server.address}/enter/{door.new_token()}")
    yield at
    context.close()
    server.close()
    assert at.complaints == []
    assert at.elsewhere == []
