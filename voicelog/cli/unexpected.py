"""What is left of an error that nobody expected: where it was, and nothing that was said.

A person sends such lines to somebody else. Python's own hold the message of an error, and with it
a value; a core file holds all of memory.
"""

import platform
import sys
import threading

from voicelog import __version__
from voicelog.errors import account_of

ABOUT = (
    "voicelog: Something went wrong that nobody expected. What was saved is kept. Please report"
    " the lines below; they hold no words and no client's code."
)


def tell_no_words() -> None:
    """From now on, in every thread, and where Python itself swallows an error; and no core file."""
    sys.excepthook = lambda kind, error, trace: tell(error)
    threading.excepthook = lambda told: tell(told.exc_value)
    sys.unraisablehook = lambda told: tell(told.exc_value)
    try:
        import resource
    except ImportError:  # Windows keeps none unless told to
        return
    resource.setrlimit(resource.RLIMIT_CORE, (0, 0))


def tell(error: BaseException | None) -> None:
    """Say to standard error where it was."""
    machine = f"voicelog {__version__}, Python {platform.python_version()}, {sys.platform}"
    account = "" if error is None else account_of(error)
    sys.stderr.write(f"{ABOUT}\n{machine}\n{account}")
