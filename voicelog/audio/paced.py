"""A recording at the speed at which it was spoken."""

import time
from collections.abc import Iterator
from types import TracebackType
from typing import Self

from voicelog.audio.base import Block, Source


class Paced:
    """Gives the blocks of another source no sooner than a microphone would."""

    def __init__(self, source: Source) -> None:
        self._source = source

    def __enter__(self) -> Self:
        self._source.__enter__()
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self._source.__exit__(kind, error, trace)

    def __iter__(self) -> Iterator[Block]:
        began_s = time.monotonic()
        for block in self._source:
            due_s = began_s + block.start_s + block.duration_s
            time.sleep(max(0.0, due_s - time.monotonic()))
            yield block

    def drop_unread(self) -> None:
        """A recording waits while the tool speaks."""
        self._source.drop_unread()
