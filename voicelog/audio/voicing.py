"""Which of the last frames were voiced: whether speech begins, pauses, is over."""

from collections import deque

from voicelog.audio.endpointing import Endpointing, frames_in


class Voicing:
    """Remembers as many frames as it takes to tell."""

    def __init__(self, set_to: Endpointing) -> None:
        self._start = frames_in(set_to.start_window_s)
        self._start_voiced = max(1, round(set_to.start_share * self._start))
        self._pause = frames_in(set_to.pause_s)
        self._end = frames_in(set_to.end_silence_s)
        self._end_loud = frames_in(set_to.end_silence_loud_s)
        self._end_share = set_to.end_share
        self._voiced: deque[bool] = deque(maxlen=max(self._start, self._end, self._end_loud))
        self._paused = False

    def add(self, is_voiced: bool) -> None:
        """One more frame."""
        self._voiced.append(is_voiced)

    def clear(self) -> None:
        """Forget all of them."""
        self._voiced.clear()

    def begin(self) -> None:
        """An utterance begins: no silence in it was told yet."""
        self._paused = False

    @property
    def speaks(self) -> bool:
        """Whether enough of the last few were voiced for speech to begin."""
        return sum(self._last(self._start)) >= self._start_voiced

    def is_over(self, *, in_loud_room: bool) -> bool:
        """Whether hardly any was for so long that an utterance is over."""
        needed = self._end_loud if in_loud_room else self._end
        recent = self._last(needed)
        return len(recent) >= needed and sum(recent) <= int(self._end_share * needed)

    def pauses(self) -> bool:
        """Whether a silence has just become long enough to be told."""
        before, recent = self._paused, self._last(self._pause)
        self._paused = len(recent) >= self._pause and not any(recent)
        return self._paused and not before

    def _last(self, count: int) -> list[bool]:
        return list(self._voiced)[-count:]
