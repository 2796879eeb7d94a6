"""What several of these tests start from: the English language, and a dictation as sound."""

import shutil
import subprocess
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path
from types import ModuleType

import numpy as np
import pytest
import soundfile

from tests.integration.houses import filled
from tests.integration.live_rig import Rig
from tests.integration.sqlite_samples import spoken
from voicelog.audio.base import RATE_HZ, Samples
from voicelog.data_files.languages import language_folder, load_language
from voicelog.grammar.language import LanguageData
from voicelog.grammar.phrases import Phrases
from voicelog.settings.fields import Settings
from voicelog.store.sqlite import SqliteStore
from voicelog.wiring import House


@pytest.fixture(scope="session")
def language() -> LanguageData:
    return load_language(language_folder("en"))


@pytest.fixture(scope="session")
def phrases(language: LanguageData) -> Phrases:
    return Phrases(language)


@pytest.fixture(scope="session")
def speech(recordings: ModuleType) -> Samples:
    """The first of the recordings, a trial by a synthetic voice."""
    path = recordings.load_manifest().recordings()[0].path
    samples, rate_hz = soundfile.read(path, dtype="int16")
    assert rate_hz == RATE_HZ
    return np.asarray(samples, np.int16)


@pytest.fixture
def rig(phrases: Phrases, speech: Samples, tmp_path: Path) -> Iterator[Rig]:
    store = SqliteStore(tmp_path / "records.sqlite")
    yield Rig(phrases, speech, store)
    store.close()


@pytest.fixture
def plain(tmp_path: Path) -> House:
    return filled(House(Settings(data_folder=tmp_path / "plain", encrypted=False)))


@pytest.fixture
def locked(tmp_path: Path) -> House:
    return filled(House(Settings(data_folder=tmp_path / "locked", encrypted=True)))


@pytest.fixture
def stick(tmp_path: Path) -> Path:
    """A folder for backups that is there, as a stick is that was plugged in."""
    folder = tmp_path / "stick"
    folder.mkdir()
    return folder


@pytest.fixture
def home(tmp_path: Path) -> Path:
    return tmp_path / "data"


@pytest.fixture
def path(tmp_path: Path) -> Path:
    """A file with one entry in it."""
    path = tmp_path / "records.db"
    with closing(SqliteStore(path)) as store:
        store.append(spoken(store))
    return path


@pytest.fixture
def own_folders(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Keys lie in a folder of the test's own."""
    monkeypatch.setattr("platformdirs.user_config_path", lambda name: tmp_path / "config" / name)


@pytest.fixture
def small_disk(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[Path]:
    """A file system of its own with as much room as its parameter says, such as "64k"."""
    place = tmp_path / "disk"
    place.mkdir()
    mount = shutil.which("mount")
    command = [str(mount), "-t", "tmpfs", "-o", f"size={request.param}", "tmpfs", str(place)]
    if not mount or subprocess.run(command, check=False, capture_output=True).returncode:
        pytest.skip("mounting a small file system needs Linux and its root")
    yield place
    subprocess.run(["umount", str(place)], check=True)
