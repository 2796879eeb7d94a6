"""One installation at a time in a folder of models: two would write into the same download.

What holds the place goes with the process, also with one that is killed, and leaves nothing behind.
"""

import os
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from voicelog.errors import RecogniserError


@contextmanager
def only_install(folder: Path) -> Iterator[None]:
    """Hold a folder of models for one installation. Raises RecogniserError while another has it,
    and OSError."""
    try:
        handle = _hold(folder)
    except (BlockingIOError, FileExistsError) as error:
        raise RecogniserError(
            f"Another installation is at work in {folder}",
            kept="It goes on, and its download was left alone",
            do="Wait until it is done; `voicelog model list` then shows the model",
        ) from error
    try:
        yield
    finally:
        os.close(handle)


if sys.platform == "win32":

    def _hold(folder: Path) -> int:
        # Windows locks no folder, but removes a file of this kind with the last who has it open.
        how = os.O_CREAT | os.O_EXCL | os.O_RDWR | os.O_TEMPORARY
        return os.open(folder / ".installing", how)

else:
    import fcntl

    def _hold(folder: Path) -> int:
        handle = os.open(folder, os.O_RDONLY)
        try:
            fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError:
            os.close(handle)
            raise
        except OSError:
            pass  # a file system that locks no folder; the checksum still finds what two spoilt
        return handle
