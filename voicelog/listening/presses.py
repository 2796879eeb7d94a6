"""Keys and foot switches: what was pressed, and when."""

import time
from queue import Empty, SimpleQueue
from typing import Literal, NamedTuple

Key = Literal["affirm", "negative", "pause", "stop", "break off"]
"""stop ends the visit; break off leaves it to be taken up again."""


class Press(NamedTuple):
    """One press; `at_s` is by the monotonic clock."""

    key: Key
    at_s: float


class Presses:
    """Presses in their order. They may come from other threads and from signal handlers."""

    def __init__(self) -> None:
        self._waiting: SimpleQueue[Press] = SimpleQueue()

    def put(self, key: Key) -> None:
        """The key is pressed now."""
        self._waiting.put(Press(key, time.monotonic()))

    def take(self) -> Press | None:
        """The next press that was not taken yet, if there is any."""
        try:
            return self._waiting.get_nowait()
        except Empty:
            return None
