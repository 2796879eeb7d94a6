"""What speech sounds like: 96 figures every 80 ms, by a network that has heard very much of it.

The network and its weights are those of Lin, Kilgour, Roblek and Sharifi 2020 ("Training Keyword
Spotters with Limited and Synthesized Speech Data", ICASSP, arXiv 2002.01322; from memory), licence
Apache-2.0. With it a few words can be told apart after hearing mostly synthetic voices say them.
`audio_fixtures/teach_numbers.py` takes the weights, and the bands that the network listens to, out
of the package pyopen-wakeword.
"""

from functools import cache
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from voicelog.audio.base import RATE_HZ, Samples

Floats = NDArray[np.float32]
SIZE = 96
"""Figures in a row."""
FRAMES, FRAMES_A_STEP = 76, 8
"""A row is of so many frames, and begins so many after the one before."""
HOP, WINDOW = RATE_HZ // 100, 512
"""Samples from frame to frame, and in one."""
LAYERS = 20
_TOP_DB, _DEPTH_DB = 95.0, 80.0
"""The loudest band of a sound is taken to be so loud, as nothing is to depend on the microphone;
one that is softer by more than the second is taken to be just so soft."""
_LEAK, _FLOOR = 0.2, -0.4
"""What is below zero behind a layer counts a fifth, and is never below the second."""
_LARGEST = {2: (2, 2), 6: (1, 2), 10: (2, 2), 14: (1, 2), 18: (2, 2)}
"""Behind these layers only the largest of so many frames and bands goes on."""
_WEIGHTS = Path(__file__).with_suffix(".npz")


def embedding(samples: Samples) -> Floats:
    """(rows, SIZE) figures of a sound of 16 kHz; no rows where it is shorter than one."""
    frames = 1 + (len(samples) - WINDOW) // HOP
    if frames < FRAMES:
        return np.empty((0, SIZE), np.float32)
    whole = FRAMES + (frames - FRAMES) // FRAMES_A_STEP * FRAMES_A_STEP
    levels = _levels_db(samples)[:whole]
    return _through_network((levels - levels.max() + _TOP_DB) / 10 + 2)


def _levels_db(samples: Samples) -> Floats:
    """(frames, 32): how loud the bands between 60 and 3800 Hz are."""
    weights = _weights()
    frames = np.lib.stride_tricks.sliding_window_view(samples.astype(np.float32), WINDOW)[::HOP]
    powers = (np.abs(np.fft.rfft(frames * weights["window"])) ** 2) @ weights["bands"]
    levels = 10 * np.log10(np.maximum(powers, 1e-10))
    return np.asarray(np.maximum(levels, levels.max() - _DEPTH_DB), np.float32)


def _through_network(levels: Floats) -> Floats:
    weights = _weights()
    found = levels[:, :, np.newaxis]
    for number in range(LAYERS):
        found = _convolved(found, weights[f"kernel{number}"]) + weights[f"bias{number}"]
        if number < LAYERS - 1:
            found = np.maximum(np.where(found > 0, found, _LEAK * found), np.float32(_FLOOR))
        if number in _LARGEST:
            found = _largest(found, *_LARGEST[number])
    return found[:, 0]


def _convolved(found: Floats, kernel: Floats) -> Floats:
    """(frames, bands, out) of (frames, bands, in) and a kernel (frames, bands, in, out).

    Beyond the bands lies nothing; beyond the frames nothing is made up, so there are fewer."""
    times, wide, _, outs = kernel.shape
    bands = found.shape[1]
    rows = found.shape[0] - times + 1
    padded = np.pad(found, ((0, 0), (wide // 2, wide // 2), (0, 0)))
    pieces = [padded[t : t + rows, w : w + bands] for t in range(times) for w in range(wide)]
    return np.asarray(np.concatenate(pieces, axis=2) @ kernel.reshape(-1, outs), np.float32)


def _largest(found: Floats, times: int, wide: int) -> Floats:
    rows, bands = found.shape[0] // times, found.shape[1] // wide
    blocks = found[: rows * times, : bands * wide].reshape(rows, times, bands, wide, -1)
    return np.asarray(blocks.max(axis=(1, 3)), np.float32)


@cache
def _weights() -> dict[str, Floats]:
    with np.load(_WEIGHTS) as file:
        return {name: file[name].astype(np.float32) for name in file.files}
