"""A sound card that plays a day of work faster than it would pass, with all that can go wrong.

It answers like the sounddevice module, as far as voicelog asks. Its clock is that of the sound: it
stands still while nobody listens fast enough, so that nothing is lost but what is meant to be.
"""

import sys
import threading
from dataclasses import dataclass, field, replace
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import numpy as np
import soundfile

ROOT = Path(__file__).parents[2]
sys.path.insert(0, str(ROOT))

from audio_fixtures.manifest import load_manifest  # noqa: E402
from voicelog.audio.base import RATE_HZ, Samples  # noqa: E402

HOUR_S = 3600.0
AHEAD_BLOCKS = 600
CYCLE_S = 60.0


class CardError(Exception):
    """Stands for the one error of the sounddevice library."""


@dataclass(frozen=True, slots=True)
class Mishap:
    """At which second of every hour, and what: sound missing with or without a word of the driver,
    or the device gone for `away_s` and back at another rate."""

    at_s: float
    kind: str
    away_s: float = 0.0
    rate_hz: int = RATE_HZ


MISHAPS = (
    Mishap(600.0, "overflow, flagged"),
    Mishap(1200.0, "sound missing, not flagged"),
    Mishap(1800.0, "unplugged", away_s=20.0),
    Mishap(2400.0, "back at another rate", away_s=5.0, rate_hz=48_000),
    Mishap(2700.0, "stops calling back", away_s=8.0),
    Mishap(3000.0, "sound server restarted", away_s=6.0),
)
MISSING_BLOCKS = 20


def minute(chance: np.random.Generator) -> Samples:
    """A dictation, a yes, and talk (a recording played backwards) in a minute of a quiet room."""
    fixtures = {r.path.stem: r.path for r in load_manifest().recordings() if "slt" in str(r.path)}
    names = ("r01", "c01", "r05", "c01")
    sounds = [np.asarray(soundfile.read(fixtures[n], dtype="int16")[0]) for n in names]
    talk = np.asarray(soundfile.read(fixtures["r17"], dtype="int16")[0])[::-1]
    made = chance.normal(0, 8, round(CYCLE_S * RATE_HZ))
    starts = (3.0, 11.0, 16.0, 24.0, 35.0)
    for start_s, sound in zip(starts, (*sounds, talk), strict=True):
        first = round(start_s * RATE_HZ)
        made[first : first + len(sound)] += sound
    return np.clip(made, -32768, 32767).astype(np.int16)


@dataclass
class Card:
    """The card and its clock. `played_s` is where the sound stands."""

    PortAudioError = CardError
    hours: float
    sound: Samples
    played_s: float = 0.0
    rate_hz: int = RATE_HZ
    back_at_s: float = 0.0
    met: list[str] = field(default_factory=list)

    def __post_init__(self) -> None:
        self.default = SimpleNamespace(device=[0, 0])
        self._opened_at_s: float | None = None
        self._room = threading.Semaphore(AHEAD_BLOCKS)
        part = min(1.0, self.hours)  # of an hour, so that a short day has all of them too
        self._mishaps = [
            replace(mishap, at_s=(hour + mishap.at_s / HOUR_S) * part * HOUR_S)
            for hour in range(max(1, int(self.hours)))
            for mishap in MISHAPS
        ]

    def taken(self) -> None:
        """One block has been listened to."""
        self._opened_at_s = None
        self._room.release()

    def opened(self) -> None:
        """A stream begins: until its first block is listened to, no time has passed."""
        self._opened_at_s = self.played_s

    def let_go(self) -> None:
        """Hold no thread back any more."""
        self._room.release()

    def clock(self) -> float:
        """Seconds of the day."""
        return self.played_s if self._opened_at_s is None else self._opened_at_s

    def sleep(self, seconds: float) -> None:
        """Let the day go on without sound."""
        self.played_s += seconds

    def query_devices(self) -> list[dict[str, Any]]:
        """The one device."""
        self._answer()
        return [
            {
                "name": "Lapel microphone", "hostapi": 0, "max_input_channels": 1,
                "max_output_channels": 1, "default_samplerate": float(self.rate_hz),
            }
        ]  # fmt: skip

    def query_hostapis(self) -> list[dict[str, Any]]:
        """The one way to it."""
        return [{"name": "Pretend"}]

    def check_input_settings(self, **settings: Any) -> None:
        """Only one rate at a time."""
        self._answer()
        if settings["samplerate"] != self.rate_hz:
            raise CardError("Invalid sample rate")

    def RawInputStream(self, **settings: Any) -> "Stream":  # noqa: N802
        """Open it."""
        self.check_input_settings(**settings)
        return Stream(self, settings)

    def _terminate(self) -> None:
        pass

    def _initialize(self) -> None:
        self._answer()

    def _answer(self) -> None:
        if self.played_s < self.back_at_s:
            raise CardError("Device unavailable")

    def next_mishap(self) -> Mishap | None:
        """The one that is due, once."""
        if self._mishaps and self.played_s >= self._mishaps[0].at_s:
            mishap = self._mishaps.pop(0)
            self.met.append(mishap.kind)
            return mishap
        return None

    def wait_for_room(self) -> bool:
        """Wait until somebody listens. False when nobody does any more."""
        return self._room.acquire(timeout=60)


class Stream:
    """Plays the day into the callback from a thread of its own."""

    def __init__(self, card: Card, settings: dict[str, Any]) -> None:
        self._card = card
        self._settings = settings
        self._closed = False
        self._thread = threading.Thread(target=self._play, daemon=True)
        self.active = True

    def start(self) -> None:
        """Begin."""
        self._card.opened()
        self._thread.start()

    def close(self) -> None:
        """End, and wait for the thread."""
        self._closed = True
        self._card.let_go()
        self._thread.join()

    def _play(self) -> None:
        card, size = self._card, self._settings["blocksize"]
        length_s = size / card.rate_hz
        flagged = False
        while not self._closed and card.played_s < card.hours * HOUR_S:
            mishap = card.next_mishap()
            if mishap and mishap.away_s:
                card.back_at_s = card.played_s + mishap.away_s
                card.rate_hz = mishap.rate_hz
                self.active = mishap.kind == "stops calling back"
                return
            if mishap:
                card.played_s += MISSING_BLOCKS * length_s
                flagged = "not" not in mishap.kind
            if not card.wait_for_room() or self._closed:
                return
            self._call_back(size, flagged)
            card.played_s += length_s
            flagged = False
        self.active = False

    def _call_back(self, size: int, flagged: bool) -> None:
        card = self._card
        first = round(card.played_s * RATE_HZ) % len(card.sound)
        factor = card.rate_hz // RATE_HZ
        samples = np.take(card.sound, range(first, first + size // factor), mode="wrap")
        data = np.repeat(samples, factor).tobytes()
        stamps = SimpleNamespace(inputBufferAdcTime=card.played_s)
        flags = SimpleNamespace(input_overflow=flagged)
        self._settings["callback"](data, size, stamps, flags)
