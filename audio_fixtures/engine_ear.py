"""What the embedded engine makes of sound, in torch.

A network that learns through it learns to keep what the engine goes by, not what sounds good.

Cepstra as PocketSphinx computes them (fe_sigproc.c and fe_noise.c of its source, from memory), and
from them how well each state of each phone fits, whatever its neighbours. A test holds both against
what the engine logs and against `recognisers/acoustic_model.py`. Needs torch.
"""

import math

import numpy as np
import torch
from torch import Tensor

from voicelog.audio.base import RATE_HZ
from voicelog.recognisers.acoustic_model import AcousticModel

WINDOW, HOP, FFT = 410, RATE_HZ // 100, 512
CEPSTRA = 13
STATES = 3
"""States of a phone."""
_FILTERS, _LOWEST_HZ, _HIGHEST_HZ = 25, 130.0, 6800.0
_PRE_EMPHASIS, _LIFTER = 0.97, 22
_LEAST = 1e-4
_MOST_GAIN = 20.0
_NEIGHBOURS = 4
"""The engine smooths its gains over so many filters to each side."""


def cepstra(sound: Tensor) -> Tensor:
    """Cepstra, (sounds, windows, 13), of sounds in whole numbers of 16 bits, (sounds, samples)."""
    before = torch.cat([sound[:, :1], sound[:, :-1]], 1)
    emphasised = sound - _PRE_EMPHASIS * before
    windows = emphasised.unfold(1, WINDOW, HOP) * torch.hamming_window(WINDOW, periodic=False)
    powers = torch.fft.rfft(windows, FFT).abs().square() @ torch.tensor(_filters().T)
    cleaned = powers * _gains(powers)
    return cleaned.clamp(min=_LEAST).log() @ torch.tensor(_cosines().T)


def features(levelled: Tensor) -> Tensor:
    """Cepstra with their first and second differences, (sounds, windows, 3, 13); see
    `voicelog.recognisers.aligning.features`."""
    count = levelled.shape[1]
    padded = torch.cat([levelled[:, :1]] * 3 + [levelled] + [levelled[:, -1:]] * 3, 1)

    def shifted(by: int) -> Tensor:
        return padded[:, 3 + by : 3 + by + count]

    change = shifted(2) - shifted(-2)
    change_of_change = (shifted(3) - shifted(-1)) - (shifted(1) - shifted(-3))
    return torch.stack([levelled, change, change_of_change], 2)


class Ear:
    """The Gaussians of a model."""

    def __init__(self, model: AcousticModel) -> None:
        books, self._streams, densities, _ = model.means.shape
        first = model.codebook[: STATES * books]  # those that heed no neighbours come first
        of_phone = model.log_weights[np.argsort(first, kind="stable")]
        shape = (books, STATES, self._streams, densities)
        mixed = np.exp(of_phone.reshape(shape)).transpose(2, 0, 3, 1)
        peaks = (model.means**2 / model.variances + np.log(2 * math.pi * model.variances)).sum(-1)
        squares, straight = -0.5 / model.variances, model.means / model.variances
        curves = np.concatenate([squares, straight, -0.5 * peaks[..., None]], -1)
        self._mixed = torch.tensor(mixed, dtype=torch.float32)
        self._curves = torch.tensor(curves.transpose(1, 0, 3, 2), dtype=torch.float32)

    def scores(self, frames: Tensor) -> Tensor:
        """Log-likelihood of each state of each phone in nats, (frames, phones * 3), of features,
        (frames, 3, 13)."""
        total, one = torch.zeros(()), torch.ones(len(frames), 1)
        for stream in range(self._streams):
            heard = frames[:, stream]
            each = torch.cat([heard * heard, heard, one], 1)[None] @ self._curves[stream]
            most = each.detach().amax(-1, keepdim=True)
            mixed = torch.bmm(torch.exp(each - most), self._mixed[stream])
            total = total + torch.log(mixed + 1e-30) + most
        return total.transpose(0, 1).reshape(len(frames), -1)


def _filters() -> np.ndarray[tuple[int, ...], np.dtype[np.float32]]:
    """Triangles of one area, evenly in mel, their corners on lines of the spectrum."""
    lowest, highest = (2595 * math.log10(1 + hertz / 700) for hertz in (_LOWEST_HZ, _HIGHEST_HZ))
    corners = 700 * (10 ** (np.linspace(lowest, highest, _FILTERS + 2) / 2595) - 1)
    lines = np.arange(FFT // 2 + 1) * RATE_HZ / FFT
    corners = np.floor(corners * FFT / RATE_HZ + 0.5) * RATE_HZ / FFT
    triangles = [
        np.interp(lines, [low, middle, high], [0, 2 / (high - low), 0])
        for low, middle, high in zip(corners, corners[1:], corners[2:], strict=False)
    ]
    return np.array(triangles, np.float32)


def _cosines() -> np.ndarray[tuple[int, ...], np.dtype[np.float32]]:
    order = np.arange(CEPSTRA)
    waves = np.cos(math.pi * order[:, None] * (np.arange(_FILTERS) + 0.5) / _FILTERS)
    waves *= np.sqrt(np.where(order == 0, 1, 2) / _FILTERS)[:, None]
    lifted = 1 + _LIFTER / 2 * np.sin(math.pi * order / _LIFTER)
    return np.asarray(waves * lifted[:, None], np.float32)


@torch.no_grad()  # type: ignore[untyped-decorator]  # types are checked without torch
def _gains(powers: Tensor) -> Tensor:
    """By what the engine's own noise removal multiplies each filter; not learnt through."""
    heard = powers.double()
    smooth, noise, floor = heard[:, 0], heard[:, 0] / _MOST_GAIN, heard[:, 0] / _MOST_GAIN
    peak = torch.zeros_like(smooth)
    near = np.abs(np.subtract.outer(np.arange(_FILTERS), np.arange(_FILTERS))) <= _NEIGHBOURS
    spread = torch.tensor(near / near.sum(0))
    found = []
    for power in heard.unbind(1):
        smooth = 0.7 * smooth + 0.3 * power
        noise = _lower_envelope(smooth, noise)
        signal = (smooth - noise).clamp(min=1.0)
        floor = _lower_envelope(signal, floor)
        loudest, peak = signal, 0.85 * peak
        signal = torch.where(signal < 0.85 * peak, 0.2 * peak, signal)  # hidden by what was before
        peak = torch.maximum(loudest, peak)
        gain = torch.maximum(signal, floor) / smooth
        found.append(gain.clamp(1 / _MOST_GAIN, _MOST_GAIN) @ spread)
    return torch.stack(found, 1).float()


def _lower_envelope(level: Tensor, before: Tensor) -> Tensor:
    """It falls at once, and rises slowly."""
    rising = 0.995 * before + 0.005 * level
    return torch.where(level >= before, rising, 0.5 * before + 0.5 * level)
