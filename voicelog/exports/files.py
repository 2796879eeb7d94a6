"""Writing an export to disk: the whole file or none of it."""

import errno
import os
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from tempfile import NamedTemporaryFile
from typing import IO

from voicelog.errors import ExportError


def write_file(path: Path, content: str | bytes) -> None:
    """Write text as UTF-8, or bytes as they are, readable by its owner only. Raises ExportError."""
    with whole_file(path) as file:
        file.write(content.encode() if isinstance(content, str) else content)


@contextmanager
def whole_file(path: Path) -> Iterator[IO[bytes]]:
    """A file to write that takes its place only when all of it is there.

    It is written beside its place first and then renamed, so a file of that name is either the
    old or the whole new one. Raises ExportError.
    """
    try:
        with NamedTemporaryFile(dir=path.parent, prefix=f".{path.name}.", delete=False) as file:
            temporary = Path(file.name)
            try:
                yield file
                file.flush()
                os.fsync(file.fileno())
                file.close()  # Windows renames no open file
                temporary.replace(path)
            except BaseException:
                with suppress(OSError):  # closing writes what is left, on a disk that is full
                    file.close()
                temporary.unlink()
                raise
    except OSError as error:
        raise ExportError(
            f"The file {path} could not be written: {_reason(error)}",
            kept="No half file was left, and all records are still in the store",
            do="Free some space, or choose another place, and export again",
        ) from error


def _reason(error: OSError) -> str:
    if error.errno == errno.ENOSPC:
        return "the disk is full"
    return (error.strerror or str(error)).lower()
