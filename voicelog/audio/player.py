"""Where the tool's voice goes: the earpiece."""

from typing import Any

import numpy as np
import soxr

from voicelog.audio.base import Samples
from voicelog.audio.devices import choose_device, list_devices, load_sounddevice
from voicelog.errors import AudioError


class SpeakerPlayer:
    """Plays through a sound card. `device` is a number, words of its name, or None for the usual.

    `sounddevice` stands in for the library of that name, which is otherwise imported on first use.
    """

    def __init__(self, device: int | str | None = None, *, sounddevice: Any = None) -> None:
        self._device = device
        self._sounddevice = sounddevice

    def play(self, samples: Samples, rate_hz: int) -> None:
        """Play to the end before returning. Raises AudioError."""
        if not len(samples):
            return
        self._sounddevice = self._sounddevice or load_sounddevice()
        library = self._sounddevice
        device = choose_device(list_devices(library), self._device, "output")
        try:
            rate_hz, samples = self._fit(device.number, device.default_rate_hz, samples, rate_hz)
            with library.RawOutputStream(
                samplerate=rate_hz, channels=1, dtype="int16", device=device.number
            ) as stream:
                stream.write(samples.tobytes())
        except library.PortAudioError as error:
            raise AudioError(
                f"Nothing can be played on {device.name} ({error})",
                kept="Records are not touched by this",
                do="Check that it is plugged in and free, or choose another output",
            ) from error

    def _fit(
        self, number: int, default_rate_hz: int, samples: Samples, rate_hz: int
    ) -> tuple[int, Samples]:
        try:
            self._sounddevice.check_output_settings(
                device=number, channels=1, dtype="int16", samplerate=rate_hz
            )
        except self._sounddevice.PortAudioError:
            resampled = soxr.resample(samples, rate_hz, default_rate_hz)
            return default_rate_hz, np.asarray(resampled, np.int16)
        return rate_hz, samples
