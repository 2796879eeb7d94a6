"""Frames of any rate and number of channels in, blocks of our own kind out."""

from collections.abc import Iterator

import numpy as np
import soxr
from numpy.typing import NDArray

from voicelog.audio.base import RATE_HZ, Block, Samples
from voicelog.audio.level import FULL_SCALE

BLOCK_S = 0.03
Frames = NDArray[np.float32]
"""Sound as it comes: shape (frames, channels), full scale from -1 to 1."""


class BlockCutter:
    """Mixes to mono, resamples as a stream, and cuts into blocks of one length.

    Only the last block before a hole or the end is shorter.
    """

    def __init__(self, rate_hz: float, block_s: float = BLOCK_S) -> None:
        self._rate_hz = rate_hz
        self._block_samples = max(1, round(block_s * RATE_HZ))
        self._offset_s = 0.0
        self._lost_s = 0.0
        self._begin(0.0)

    def feed(self, frames: Frames) -> Iterator[Block]:
        """The blocks that these frames complete."""
        self._frames_in += len(frames)
        yield from self._cut(self._resample(frames.mean(axis=1, dtype=np.float32), last=False))

    def lose(self, lost_s: float) -> Iterator[Block]:
        """Note a hole of so many seconds: give out what was before it, then start afresh."""
        yield from self.flush()
        self._lost_s += lost_s
        self._begin(self._offset_s + lost_s)

    def skip(self, frames: int) -> None:
        """Let so many frames pass unheard, together with what is in hand."""
        self._lost_s = 0.0
        self._begin(self._offset_s + (self._frames_in + frames) / self._rate_hz)

    def flush(self) -> Iterator[Block]:
        """Whatever is left, as one shorter block after the whole ones."""
        yield from self._cut(self._resample(np.zeros(0, np.float32), last=True))
        if len(self._pending):
            yield self._block(self._pending)
        self._begin(self._offset_s + self._frames_in / self._rate_hz)

    def _begin(self, offset_s: float) -> None:
        self._offset_s = offset_s
        self._frames_in = 0
        self._samples_out = 0
        self._pending: Samples = np.zeros(0, np.int16)
        same_rate = self._rate_hz == RATE_HZ
        self._resampler = None if same_rate else soxr.ResampleStream(self._rate_hz, RATE_HZ, 1)

    def _resample(self, mono: NDArray[np.float32], *, last: bool) -> Samples:
        if self._resampler is not None:
            mono = self._resampler.resample_chunk(mono, last=last)
        scaled = np.rint(mono * FULL_SCALE)
        return np.clip(scaled, -FULL_SCALE, FULL_SCALE - 1).astype(np.int16)

    def _cut(self, samples: Samples) -> Iterator[Block]:
        self._pending = np.concatenate([self._pending, samples])
        while len(self._pending) >= self._block_samples:
            whole = self._pending[: self._block_samples]
            self._pending = self._pending[self._block_samples :]
            yield self._block(whole)

    def _block(self, samples: Samples) -> Block:
        start_s = self._offset_s + self._samples_out / RATE_HZ
        block = Block(samples, start_s, self._lost_s)
        self._samples_out += len(samples)
        self._lost_s = 0.0
        return block
