"""Keys and foot switches: what was pressed, and when."""

import time
from collections.abc import Callable
from queue import Empty, SimpleQueue
from typing import Literal, NamedTuple

Key = Literal["affirm", "negative", "pause", "stop", "break off"]
"""stop ends the visit; break off leaves it to be taken up again."""


HELD_S = 0.7
"""A key that is pressed again within so many seconds is still the same press: a contact bounces for
some milliseconds, and a key or pedal held down is typed again after half a second as a rule, then
many times a second (from memory: 0.25 to 0.66 s in the usual systems). Nobody has heard by then
what a second answer would be an answer to."""


class Press(NamedTuple):
    """One press; `at_s` is by the monotonic clock."""

    key: Key
    at_s: float


class Presses:
    """Presses in their order, each once. They may come from other threads and from signal handlers;
    `clock` gives the seconds of the monotonic clock."""

    def __init__(self, clock: Callable[[], float] = time.monotonic) -> None:
        self._clock = clock
        self._waiting: SimpleQueue[Press] = SimpleQueue()
        self._last: Press | None = None

    def put(self, key: Key) -> None:
        """The key is pressed now, or still."""
        press, last = Press(key, self._clock()), self._last
        self._last = press
        if last is None or key != last.key or press.at_s - last.at_s > HELD_S:
            self._waiting.put(press)

    def take(self) -> Press | None:
        """The next press that was not taken yet, if there is any."""
        try:
            return self._waiting.get_nowait()
        except Empty:
            return None
