"""Compares what the network leaves of a lesson with the near voice alone, as the engine hears both.

Each window must make the engine believe in the same phones (a student that learns to believe what
its teacher believes: Hinton, Vinyals and Dean 2015, arXiv 1503.02531, from memory). Needs torch.
"""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
import torch
from torch import Tensor

from audio_fixtures.engine_ear import Ear, cepstra, features
from voicelog.audio import bands, quiet_room
from voicelog.audio.bands import FFT, HOP, WINDOW
from voicelog.audio.base import RATE_HZ
from voicelog.audio.level import FULL_SCALE
from voicelog.audio.near_voice import LOOK
from voicelog.audio.quiet_room import BELOW_VOICE_DB
from voicelog.recognisers.levelling import BELOW_LOUDEST_DB, PAUSES

EACH = 12
"""The engine's ear goes through one window of so many, as the next ones say much the same."""
TEMPERATURE = 2.0
"""Beliefs are compared less sharp than the engine has them, which is surer than it is right."""
PAUSE_COUNTS, LEVEL_COUNTS = 0.3, 0.05
"""What a pause counts beside speech, in nats, and what a dB counts by which a band is too loud or
too soft: the engine's ear says nothing where nobody is near."""
FLOOR_DB = 42.0
"""What lies so far below the loudest of a lesson is as good as silence."""
LEFT_OVER = 0.5
"""How much more a band counts in which too much is left than one in which too little is."""
SPEAKS = 30.0
"""The least root mean square of a lesson in which somebody is near, in steps of 16 bits."""

_DB_OF_FIRST = 10 / np.log(10) / 5
"""The first cepstrum is the sum of 25 logarithms over 5."""


@dataclass(frozen=True, slots=True)
class Off:
    """How far what is left is from the near voice: in dB of its bands, and in nats of what the
    engine believes, in speech and in pauses."""

    level: Tensor
    speech: Tensor
    pauses: Tensor

    @property
    def loss(self) -> Tensor:
        """All in one."""
        return self.speech + PAUSE_COUNTS * self.pauses + LEVEL_COUNTS * self.level


class Teacher:
    """Compares what a student leaves with the near voice."""

    def __init__(self, ear: Ear) -> None:
        self._ear = ear
        self._window = torch.tensor(bands.window())
        self._filters = torch.tensor(bands.filters())
        self._noise = torch.tensor(quiet_room.noise(), dtype=torch.float32)

    def off(
        self, student: Callable[[Tensor], Tensor], heard: Tensor, near: Tensor, first: int
    ) -> Off:
        """For lessons, (lessons, samples); `first` is where the ear begins."""
        spectra, wanted = self._spectra(heard), self._spectra(near)
        levels = self._levels(spectra)
        gains = student(levels)[:, LOOK:]
        last = gains.shape[1]
        level = self._level_off(levels[:, :last], gains, self._levels(wanted)[:, :last])
        left = self._sound(spectra[:, :last] * 10 ** (gains @ self._filters / 20))
        alone = self._sound(wanted[:, :last])
        somebody = alone.square().mean(1).sqrt() > SPEAKS / FULL_SCALE
        off, speech = self._belief_off(left[somebody], alone[somebody], first)
        return Off(level, off[speech].mean(), off[~speech].mean())

    def _belief_off(self, left: Tensor, alone: Tensor, first: int) -> tuple[Tensor, Tensor]:
        """Kullback-Leibler divergence of windows in nats, and which of them are speech."""
        room = self._quiet_room(alone)
        with torch.no_grad():
            heard = cepstra((alone + room) * FULL_SCALE)
            loud = heard[..., 0] * _DB_OF_FIRST
            speech = loud > loud.amax(1, keepdim=True) - BELOW_LOUDEST_DB
            believed = self._beliefs(_levelled(heard, speech), first)
        found = self._beliefs(_levelled(cepstra((left + room) * FULL_SCALE), speech), first)
        off = (believed.exp() * (believed - found)).sum(-1)
        return off, speech[:, first::EACH].reshape(-1)

    def _beliefs(self, levelled: Tensor, first: int) -> Tensor:
        frames = features(levelled)[:, first::EACH].flatten(0, 1)
        return torch.log_softmax(self._ear.scores(frames) / TEMPERATURE, -1)

    def _level_off(self, heard: Tensor, gains: Tensor, near: Tensor) -> Tensor:
        floor = heard.amax(dim=(1, 2), keepdim=True) - FLOOR_DB
        off = torch.maximum(heard + gains, floor - 3) - torch.maximum(near, floor)
        return (off.abs() + LEFT_OVER * torch.relu(off)).mean()

    def _spectra(self, sound: Tensor) -> Tensor:
        return torch.fft.rfft(sound.unfold(1, WINDOW, HOP) * self._window, FFT)

    def _levels(self, spectra: Tensor) -> Tensor:
        return 10 * torch.log10(spectra.abs().square() @ self._filters.T + 1e-7)

    def _sound(self, spectra: Tensor) -> Tensor:
        pieces = torch.fft.irfft(spectra, FFT)[..., :WINDOW] * self._window
        return (pieces[:, 1:, :HOP] + pieces[:, :-1, HOP:]).flatten(1)

    def _quiet_room(self, alone: Tensor) -> Tensor:
        """The noise that the engine is given behind each voice."""
        loudest = alone.square().unfold(1, RATE_HZ // 10, RATE_HZ // 20).mean(-1).amax(1)
        level = loudest.sqrt() * 10 ** (-BELOW_VOICE_DB / 20)
        first = int(torch.randint(0, len(self._noise) - alone.shape[1], (1,)))
        return level[:, None] * self._noise[first : first + alone.shape[1]]


def _levelled(found: Tensor, speech: Tensor) -> Tensor:
    """Cepstra less their mean over speech and some pauses; see `recognisers/levelling.py`."""
    counts = speech.float()
    pauses = (1 - counts).sum(1, keepdim=True)
    share = counts.sum(1, keepdim=True) * PAUSES / (1 - PAUSES) / pauses.clamp(min=1)
    counts = counts + (1 - counts) * share.clamp(max=1)
    mean = (found * counts[..., None]).sum(1) / counts.sum(1, keepdim=True).clamp(min=1)
    return found - mean[:, None]
