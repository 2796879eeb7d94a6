"""What the system may ask of a program at any moment: to end, because the machine is shut down, a
service is stopped, or the terminal was closed.

Whatever is half done is undone on the way out, as after Ctrl-C. The exit code is 128 and the number
of the signal (POSIX, Shell Command Language, 2.8.2).
"""

import os
import signal
import stat
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from types import FrameType
from typing import NoReturn

SIGNALS = tuple(
    getattr(signal, name) for name in ("SIGTERM", "SIGHUP", "SIGBREAK") if hasattr(signal, name)
)
"""To end, the terminal is closed, and the same on Windows. Whoever ignores one, as `nohup` does,
keeps ignoring it."""

Told = Callable[[int, FrameType | None], object]


def leave(number: int, frame: FrameType | None = None) -> NoReturn:
    """End now, by way of every `finally`."""
    let_terminal_go()
    sys.exit(128 + number)


def when_told_to_end(do: Told) -> None:
    """Do this from now on when the system asks."""
    for number in SIGNALS:
        if signal.getsignal(number) is not signal.SIG_IGN:
            signal.signal(number, do)


def let_terminal_go() -> None:
    """Write to nothing from now on where a terminal was closed: each write to one is an error."""
    for descriptor in (1, 2):
        try:
            gone = stat.S_ISCHR(os.fstat(descriptor).st_mode) and not os.isatty(descriptor)
        except OSError:
            continue  # it was closed from the start
        if gone:
            os.dup2(os.open(os.devnull, os.O_WRONLY), descriptor)


@contextmanager
def terminal_as_it_was() -> Iterator[None]:
    """Put the terminal back: a thread that waits for a key when the program ends leaves it deaf
    and without echo."""
    if sys.stdin is None or not sys.stdin.isatty():
        yield
        return
    try:
        import termios
    except ImportError:  # Windows has none, and needs none
        yield
        return
    before = termios.tcgetattr(sys.stdin)
    try:
        yield
    finally:
        with suppress(termios.error):  # it was closed
            termios.tcsetattr(sys.stdin, termios.TCSANOW, before)
