"""The second hearing where it is, where it is not, and where its install is damaged.

ONNX Runtime itself says what it makes of files that are not whole.
"""

import os
import subprocess
import sys
from pathlib import Path
from types import ModuleType

import numpy as np
import pytest

from tests.listener import Listener
from voicelog.audio.base import Utterance
from voicelog.audio.sound_file import SoundFile
from voicelog.cli.check import second_hearing
from voicelog.errors import RecogniserError
from voicelog.grammar.posterior import Prior
from voicelog.recognisers import usable_transcriber
from voicelog.recognisers.transcriber import Transcriber, transcriber_name, weights_folder
from voicelog.recognisers.usable_transcriber import SIZES, check_install, open_now, usable_weights
from voicelog.settings.fields import Settings
from voicelog.wiring import House

ROOT = Path(__file__).parents[2]
FOLDER = weights_folder()
needs_it = pytest.mark.skipif(FOLDER is None, reason="there is no second hearing on this system")


@pytest.fixture
def copied(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder that looks like that of the weights and holds nothing, found in its place."""
    for name, size in SIZES.items():
        with (tmp_path / name).open("wb") as file:
            file.truncate(size)
    for module in (usable_transcriber, sys.modules["voicelog.cli.check"]):
        monkeypatch.setattr(module, "weights_folder", lambda: tmp_path)
    return tmp_path


def heard(house: House, recordings: ModuleType) -> dict[str, object]:
    """What the engine of a house makes of a whole record."""
    (path,) = [
        r.path for r in recordings.load_manifest().recordings() if (r.voice, r.id) == ("slt", "r01")
    ]
    with SoundFile(path) as source:
        samples = np.concatenate([block.samples for block in source])
    utterance = Utterance(samples, 0.0, len(samples) / 16_000)
    meant, _ = house.hearing("pocketsphinx").whole(utterance, "any", Prior())
    assert meant.intent is not None
    return dict(meant.intent.slots)


@needs_it
def test_its_files_have_the_lengths_that_are_known() -> None:
    assert FOLDER is not None
    assert {file.name: file.stat().st_size for file in FOLDER.iterdir()} == SIZES
    check_install(FOLDER)
    assert "hears each dictation too" in second_hearing(House(Settings()), "pocketsphinx")


def test_without_it_the_engine_hears_and_the_check_says_how_to_get_it(
    recordings: ModuleType, monkeypatch: pytest.MonkeyPatch
) -> None:
    for module in (usable_transcriber, sys.modules["voicelog.cli.check"]):
        monkeypatch.setattr(module, "weights_folder", lambda: None)
    person = Listener()
    house = House(Settings(), person)
    assert heard(house, recordings)["range_deg"] == 12
    assert person.told == []
    said = second_hearing(house, "pocketsphinx")
    assert "less well" in said
    assert "moonshine-voice==0.1.0" in said
    assert second_hearing(house, "vosk") == "this engine has none"


@pytest.mark.parametrize("name", sorted(SIZES))
@needs_it
def test_a_file_cut_short_is_named_and_listening_goes_on_without(copied: Path, name: str) -> None:
    os.truncate(copied / name, SIZES[name] // 2)
    person = Listener()
    assert usable_weights(person.tell) is None
    (line,) = person.told
    assert name in line
    assert "Listening goes on without it" in line
    assert "pip install" in line
    with pytest.raises(RecogniserError, match="damaged"):
        second_hearing(House(Settings()), "pocketsphinx")
    (copied / name).unlink()
    with pytest.raises(RecogniserError, match="cannot be read"):
        check_install(copied)


@needs_it
def test_what_onnx_runtime_cannot_read_is_an_error_of_ours_and_the_engine_hears(
    copied: Path, recordings: ModuleType
) -> None:
    """The lengths are right; only opening it shows that it is of no use."""
    with pytest.raises(RecogniserError, match="cannot read its weights") as told:
        second_hearing(House(Settings()), "pocketsphinx")
    assert "moonshine-voice==0.1.0" in told.value.do
    assert heard(House(Settings()), recordings)["range_deg"] == 12


@needs_it
def test_the_name_of_the_model_is_of_what_hears(copied: Path) -> None:
    """A record keeps it: it must not tell of a second hearing that there was not."""
    engine = House(Settings()).recogniser("pocketsphinx")
    assert transcriber_name() in engine.model
    engine.begin("any")
    assert transcriber_name() not in engine.model


@needs_it
def test_without_onnx_runtime_it_is_not_used(monkeypatch: pytest.MonkeyPatch) -> None:
    """Where it cannot be loaded, as on Windows without the libraries of its compiler, and where it
    is not installed."""
    assert FOLDER is not None
    monkeypatch.setitem(sys.modules, "onnxruntime", None)
    with pytest.raises(RecogniserError, match="cannot be loaded") as told:
        open_now(Transcriber(FOLDER))
    assert "Visual C++" in told.value.do
    monkeypatch.setattr(usable_transcriber, "find_spec", lambda name: None)
    with pytest.raises(RecogniserError, match="not installed"):
        check_install(FOLDER)


@needs_it
def test_onnx_runtime_reports_to_nobody(tmp_path: Path) -> None:
    """Versions from 1.29 on put a number for the machine into the home, and a list of what is to be
    sent (its Privacy.md); the kernel ends whatever wants an internet socket."""
    code = (
        "import sys, time; from tests.reliability.faults import POSSIBLE, forbid_internet\n"
        "from voicelog.recognisers.transcriber import Transcriber, weights_folder\n"
        "_ = POSSIBLE and forbid_internet()\n"
        "Transcriber(weights_folder()).open(); time.sleep(2); print('opened')"
    )
    places = {"HOME": str(tmp_path), "XDG_CACHE_HOME": "", "LOCALAPPDATA": str(tmp_path)}
    places["PYTHONPATH"] = os.pathsep.join((os.environ["PYTHONPATH"], str(ROOT)))  # for `tests`
    ran = subprocess.run(
        [sys.executable, "-B", "-c", code], capture_output=True, text=True, check=True, cwd=ROOT,
        env=os.environ | places,
    )  # fmt: skip
    assert ran.stdout == "opened\n"
    assert list(tmp_path.iterdir()) == []
