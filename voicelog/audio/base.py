"""The sound edge: blocks of sound, where they come from, and where speech begins and ends.

All sound inside voicelog is mono, 16-bit, 16 000 samples a second; sources convert at the edge.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from types import TracebackType
from typing import Protocol, Self

import numpy as np
from numpy.typing import NDArray

from voicelog.errors import AudioError

RATE_HZ = 16_000
Samples = NDArray[np.int16]
"""Mono sound, 16 000 samples a second, one dimension."""


@dataclass(frozen=True, slots=True, eq=False)
class Block:
    """A stretch of sound. `start_s` counts from the start of the source, in seconds.

    `lost_s` is how much sound went missing just before this block, in seconds (0 when none).
    `gone` is set, and there are no samples, while the source is gone and is waited for.
    """

    samples: Samples
    start_s: float
    lost_s: float = 0.0
    gone: AudioError | None = None

    @property
    def duration_s(self) -> float:
        """Length in seconds."""
        return len(self.samples) / RATE_HZ


@dataclass(frozen=True, slots=True, eq=False)
class Utterance:
    """Speech with silence on both sides. Times count from the start of the source, in seconds.

    `cut` is true when it was ended by force: too long, or the source ended inside it. `cleaned` are
    the same samples as an engine hears them where the room is loud, with the room turned down; None
    in a quiet room.
    """

    samples: Samples
    start_s: float
    end_s: float
    cut: bool = False
    cleaned: Samples | None = None

    @property
    def duration_s(self) -> float:
        """Length in seconds."""
        return len(self.samples) / RATE_HZ

    @property
    def for_engine(self) -> Samples:
        """The samples to recognise."""
        return self.samples if self.cleaned is None else self.cleaned


class Source(Protocol):
    """Where sound comes from: a microphone, or a file that looks just like one.

    A context manager that yields blocks until the sound ends. Raises AudioError when it cannot
    be opened or breaks off.
    """

    def __enter__(self) -> Self: ...

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None: ...

    def __iter__(self) -> Iterator[Block]: ...

    def drop_unread(self) -> None:
        """Throw away sound that came in meanwhile: the tool itself spoke (half-duplex)."""
        ...


class Player(Protocol):
    """Where sound goes: the earpiece, or nowhere."""

    def play(self, samples: Samples, rate_hz: int) -> None:
        """Play to the end before returning (half-duplex). Raises AudioError."""
        ...
