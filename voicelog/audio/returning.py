"""A microphone that is waited for: unplugged, switched or restarted, it is opened again."""

import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from types import TracebackType
from typing import Self

import numpy as np

from voicelog.audio.base import Block, Samples, Source
from voicelog.errors import AudioError

# A driver may go on after a closed lid as if nothing had been. Less is no sleep but how clocks are
# read: one after the other.
LEAST_SLEEP_S = 1.0
NOTHING: Samples = np.zeros(0, np.int16)
# Where there is one, a clock that goes on while the machine sleeps: sound is missed then too.
_CLOCK = getattr(time, "CLOCK_BOOTTIME", getattr(time, "CLOCK_MONOTONIC", None))


def elapsed_s() -> float:
    """Seconds from some moment on, asleep or awake."""
    return time.monotonic() if _CLOCK is None else time.clock_gettime(_CLOCK)


def slept_s() -> float:
    """Seconds that the machine has slept, from some moment on; never more where it cannot tell.

    Linux, clock_gettime(2): CLOCK_BOOTTIME "also includes any time that the system is suspended".
    """
    return elapsed_s() - time.monotonic()


@dataclass(frozen=True, slots=True)
class Waiting:
    """How often to look while a source is gone, and how often to try to open it, in seconds; and
    the clocks that tell how long it was gone, and how long the machine slept."""

    look_s: float = 0.25
    try_s: float = 1.0
    clock: Callable[[], float] = elapsed_s
    slept: Callable[[], float] = slept_s
    sleep: Callable[[float], None] = time.sleep


class Returning:
    """Opens a source with `make`, and opens it again whenever it breaks off.

    While it is gone there are blocks without sound that say so (`Block.gone`). The first block
    after it, or after the machine slept, carries how much was missed, and places in the sound count
    on over the gap. Raises AudioError only when it cannot be opened the first time.
    """

    def __init__(self, make: Callable[[], Source], waiting: Waiting | None = None) -> None:
        self._make = make
        self._waiting = waiting or Waiting()
        self._source: Source | None = None

    def __enter__(self) -> Self:
        self._source = self._make().__enter__()
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        source, self._source = self._source, None
        if source is not None:
            source.__exit__(kind, error, trace)

    def __iter__(self) -> Iterator[Block]:
        starts_at_s = place_s = missed_s = 0.0
        heard_at_s, slept_s = self._waiting.clock(), self._waiting.slept()
        while self._source is not None:
            try:
                for block in self._source:
                    before_s, slept_s = slept_s, self._waiting.slept()
                    if (unsaid_s := slept_s - before_s - block.lost_s) > LEAST_SLEEP_S:
                        starts_at_s, missed_s = starts_at_s + unsaid_s, missed_s + unsaid_s
                    at_s = starts_at_s + block.start_s
                    yield replace(block, start_s=at_s, lost_s=block.lost_s + missed_s)
                    place_s, missed_s = at_s + block.duration_s, 0.0
                    heard_at_s = self._waiting.clock()
                return
            except AudioError as error:
                yield from self._wait(error, place_s)
                missed_s = self._waiting.clock() - heard_at_s
                slept_s = self._waiting.slept()  # it is in what was missed
                starts_at_s = place_s + missed_s

    def drop_unread(self) -> None:
        """Throw away what came in meanwhile."""
        if self._source is not None:
            self._source.drop_unread()

    def _wait(self, error: AudioError, place_s: float) -> Iterator[Block]:
        """Blocks that say that it is gone, until it is open again."""
        waiting = self._waiting
        self.__exit__(None, None, None)
        try_at_s = waiting.clock()
        while True:
            yield Block(NOTHING, place_s, gone=error)
            if waiting.clock() >= try_at_s:
                try:
                    self._source = self._make().__enter__()
                    return
                except AudioError as still:
                    error = still
                    try_at_s = waiting.clock() + waiting.try_s
            waiting.sleep(waiting.look_s)
