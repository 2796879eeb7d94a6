"""The microphone."""

import queue
import time
from collections.abc import Iterator
from dataclasses import dataclass
from types import TracebackType
from typing import Any, Self

import numpy as np

from voicelog.audio.base import RATE_HZ, Block
from voicelog.audio.blocks import BLOCK_S, BlockCutter
from voicelog.audio.devices import Device, choose_device, list_devices, load_sounddevice
from voicelog.audio.level import FULL_SCALE
from voicelog.errors import AudioError

QUEUE_S = 60.0
GLANCE_S = 0.25
# Time stamps of some drivers wander; a smaller jump without an overflow flag means nothing.
JUMP_S = 0.25


@dataclass(frozen=True, slots=True)
class _Chunk:
    """What the callback brings: 16-bit frames, when the first was heard, and what went missing."""

    data: bytes
    frames: int
    heard_at_s: float
    overflowed: bool
    dropped_frames: int


class Microphone:
    """Listens to a sound card. `device` is a number, words of its name, or None for the usual.

    `patience_s` is how long no sound may arrive before the microphone counts as gone, in seconds.
    `sounddevice` stands in for the library of that name, otherwise imported on opening. Raises
    AudioError when it cannot be opened or goes away.
    """

    def __init__(
        self,
        device: int | str | None = None,
        *,
        block_s: float = BLOCK_S,
        patience_s: float = 2.0,
        sounddevice: Any = None,
    ) -> None:
        self._wanted = device
        self._block_s = block_s
        self._patience_s = patience_s
        self._sounddevice = sounddevice
        self._stream: Any = None
        self._expected_s: float | None = None

    def __enter__(self) -> Self:
        library = self._sounddevice = self._sounddevice or load_sounddevice()
        device = choose_device(list_devices(library), self._wanted, "input")
        self._name = device.name
        try:
            self._rate_hz, self._channels = self._offered(device)
            self._prepare()
            self._stream = library.RawInputStream(
                samplerate=self._rate_hz,
                blocksize=round(self._block_s * self._rate_hz),
                device=device.number,
                channels=self._channels,
                dtype="int16",
                callback=self._on_sound,
            )
            self._stream.start()
        except library.PortAudioError as error:
            self._close()
            what = f"The microphone {device.name} cannot be opened ({error})"
            do = "Allow its use, close other programs that hold it, or choose another microphone"
            raise AudioError(what, do=do) from error
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self._close()

    def __iter__(self) -> Iterator[Block]:
        while self._stream is not None:
            chunk = self._next_chunk()
            if chunk is None:
                break
            lost_s = self._lost_s(chunk)
            if lost_s:
                yield from self._cutter.lose(lost_s)
            frames = np.frombuffer(chunk.data, np.int16).reshape(-1, self._channels)
            yield from self._cutter.feed(frames.astype(np.float32) / np.float32(FULL_SCALE))
        yield from self._cutter.flush()
        if self._stream is not None:
            raise AudioError(
                f"The microphone {self._name} is gone: no more sound arrives from it",
                kept="What was confirmed is saved, the rest is kept as unconfirmed",
                do="Plug it in again, then start listening again",
            )

    def drop_unread(self) -> None:
        """Throw away what was heard but not read yet: the tool itself was speaking."""
        while True:
            try:
                chunk = self._queue.get_nowait()
            except queue.Empty:
                return
            self._expected_s = chunk.heard_at_s + chunk.frames / self._rate_hz
            self._cutter.skip(chunk.frames + chunk.dropped_frames)

    def _prepare(self) -> None:
        chunks = round(QUEUE_S / self._block_s)
        self._queue: queue.Queue[_Chunk] = queue.Queue(maxsize=chunks)
        self._dropped_frames = 0
        self._expected_s = None
        self._cutter = BlockCutter(self._rate_hz, self._block_s)

    def _offered(self, device: Device) -> tuple[int, int]:
        """Rate and channels to open it with: our own, or else its own, which we convert."""
        for rate_hz in (RATE_HZ, device.default_rate_hz):
            try:
                self._sounddevice.check_input_settings(
                    device=device.number, channels=1, dtype="int16", samplerate=rate_hz
                )
            except self._sounddevice.PortAudioError:
                continue
            return rate_hz, 1
        return device.default_rate_hz, device.inputs

    def _on_sound(self, data: Any, frames: int, stamps: Any, status: Any) -> None:
        # Runs in the driver's thread, which must never wait: copy, put, return.
        chunk = _Chunk(
            bytes(data),
            frames,
            float(stamps.inputBufferAdcTime),
            bool(status.input_overflow),
            self._dropped_frames,
        )
        try:
            self._queue.put_nowait(chunk)
        except queue.Full:
            self._dropped_frames += frames
        else:
            self._dropped_frames = 0

    def _next_chunk(self) -> _Chunk | None:
        deadline_s = time.monotonic() + self._patience_s
        while self._stream is not None:
            try:
                return self._queue.get(timeout=min(GLANCE_S, self._patience_s))
            except queue.Empty:
                if time.monotonic() >= deadline_s or not self._is_active():
                    return None
        return None

    def _is_active(self) -> bool:
        try:
            return bool(self._stream is not None and self._stream.active)
        except self._sounddevice.PortAudioError:
            return False

    def _lost_s(self, chunk: _Chunk) -> float:
        """How much went missing before this chunk: counted, told by the time stamps, or at least
        one chunk when the driver only says that something did.
        """
        counted_s = chunk.dropped_frames / self._rate_hz
        chunk_s = chunk.frames / self._rate_hz
        expected_s, self._expected_s = self._expected_s, chunk.heard_at_s + chunk_s
        jump_s = chunk.heard_at_s - expected_s if expected_s is not None else 0.0
        if chunk.overflowed:
            return max(counted_s, jump_s, chunk_s)
        return max(counted_s, jump_s if jump_s > JUMP_S else 0.0)

    def _close(self) -> None:
        stream, self._stream = self._stream, None
        if stream is not None:
            stream.close()
