"""What killed programs left goes by `voicelog tidy`; nothing that may hold a record ever does."""

import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest
from typer.testing import CliRunner

from voicelog.cli.app import app
from voicelog.engines import networks_folder
from voicelog.recognisers.one_install import only_install
from voicelog.safekeeping.leftovers import SURELY_DEAD_S, remove_leftovers
from voicelog.settings.fields import Settings

UNPACKING = "models/.vosk-model-small-test-0.1.unpacking"
MAY_HOLD_RECORDS = (
    "records.sqlite", "records.sqlite-wal", "records.sqlite.keys", "records.sqlite.keys.new",
    "records.sqlite.new-0a1b2c3d", "records.sqlite.restored-0a1b2c3d", "records.sqlite.77.part",
    "records.sqlite.encrypted-0a1b2c3d", "records.sqlite.before-restore-20260302-090000",
    "today.sqlite.new-0a1b2c3d", ".note.pdf.x7b2q1zz", "words/en.toml", "words/my.part",
    "models/vosk-model-small-test-0.1.zip.part", "models/own.unpacking/notes.txt",
)  # fmt: skip


@pytest.fixture
def settings(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Settings:
    """A practice whose every folder, that of the networks too, is a temporary one."""
    for name in ("HOME", "XDG_CACHE_HOME", "LOCALAPPDATA", "VOICELOG_DATA_FOLDER"):
        monkeypatch.setenv(name, str(tmp_path))
    monkeypatch.setenv("VOICELOG_SETTINGS", str(tmp_path / "settings.toml"))
    assert networks_folder().is_relative_to(tmp_path)
    return Settings(data_folder=tmp_path)


def made(file: Path, age_s: float = SURELY_DEAD_S + 60) -> Path:
    """A file, and the folder that is made with it, of that age."""
    file.parent.mkdir(parents=True, exist_ok=True)
    file.write_bytes(b"half")
    then = time.time() - age_s
    for place in (file, file.parent):
        os.utime(place, (then, then))
    return file


def test_what_was_left_half_written_goes_and_what_is_still_at_work_stays(
    settings: Settings, tmp_path: Path
) -> None:
    dead = [
        made(networks_folder() / f"{'0' * 64}.4711.part"), made(tmp_path / "words/en.4711.part"),
        made(tmp_path / UNPACKING / "am"),
    ]  # fmt: skip
    alive = [
        made(networks_folder() / f"{'1' * 64}.4712.part", 60),
        made(tmp_path / "words/en.1.part", 60),
    ]
    assert remove_leftovers(settings) == 3
    assert [file.exists() for file in dead + alive] == [False, False, False, True, True]
    assert not (tmp_path / UNPACKING).exists()


def test_nothing_that_may_hold_a_record_goes_however_old(
    settings: Settings, tmp_path: Path
) -> None:
    files = [made(tmp_path / name, 10 * 365 * SURELY_DEAD_S) for name in MAY_HOLD_RECORDS]
    assert remove_leftovers(settings) == 0
    assert all(file.read_bytes() == b"half" for file in files)


def test_a_model_that_is_being_installed_is_left_alone(settings: Settings, tmp_path: Path) -> None:
    half = made(tmp_path / UNPACKING / "am")
    with only_install(tmp_path / "models"):
        assert remove_leftovers(settings) == 0
        assert half.exists()
    assert remove_leftovers(settings) == 1


@pytest.mark.skipif(sys.platform == "win32", reason="needs a signal of POSIX")
def test_what_a_write_that_is_killed_leaves_has_such_a_name(settings: Settings) -> None:
    killed = (
        "import os, signal; from pathlib import Path;"
        "from voicelog.grammar.automaton import Automaton;"
        "from voicelog.recognisers.network_cache import NetworkCache;"
        "from voicelog.engines import networks_folder;"
        "Path.replace = lambda *_: os.kill(os.getpid(), signal.SIGKILL);"
        "NetworkCache(networks_folder()).get('x', lambda: Automaton(1, (), {}))"
    )
    assert subprocess.run([sys.executable, "-c", killed], check=False).returncode == -signal.SIGKILL
    (left,) = networks_folder().iterdir()
    made(left)
    assert remove_leftovers(settings) == 1
    assert list(networks_folder().iterdir()) == []


def test_tidy_tells_of_them_and_asks_how_long_sound_is_kept_only_where_there_are_none(
    settings: Settings, tmp_path: Path
) -> None:
    made(tmp_path / "words/en.4711.part")
    done = CliRunner().invoke(app, ["tidy"])
    assert done.exit_code == 0
    assert "Removed: 1 leftover of killed programs" in done.output
    assert CliRunner().invoke(app, ["tidy"]).exit_code == 2
