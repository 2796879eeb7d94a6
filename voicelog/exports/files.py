"""Writing an export to disk: the whole file or none of it."""

import errno
import os
from pathlib import Path
from tempfile import NamedTemporaryFile

from voicelog.errors import ExportError


def write_text(path: Path, text: str) -> None:
    """Write the text as UTF-8, byte for byte, readable by its owner only.

    It is written beside its place first and then renamed, so a file of that name is either the
    old or the whole new one. Raises ExportError.
    """
    try:
        _replace(path, text.encode())
    except OSError as error:
        raise ExportError(
            f"The file {path} could not be written: {_reason(error)}",
            kept="No half file was left, and all records are still in the store",
            do="Free some space, or choose another place, and export again",
        ) from error


def _replace(path: Path, content: bytes) -> None:
    with NamedTemporaryFile(dir=path.parent, prefix=f".{path.name}.", delete=False) as file:
        temporary = Path(file.name)
        try:
            file.write(content)
            file.flush()
            os.fsync(file.fileno())
            file.close()  # Windows renames no open file
            temporary.replace(path)
        except BaseException:
            file.close()
            temporary.unlink()
            raise


def _reason(error: OSError) -> str:
    if error.errno == errno.ENOSPC:
        return "the disk is full"
    return (error.strerror or str(error)).lower()
