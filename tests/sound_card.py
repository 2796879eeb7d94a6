"""A sound card in memory, that answers like the library sounddevice as far as voicelog asks."""

import threading
from types import SimpleNamespace
from typing import Any

import numpy as np
from numpy.typing import NDArray


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
