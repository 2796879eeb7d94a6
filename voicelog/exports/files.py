"""Writing an export to disk: the whole file or none of it, and over no other unasked."""

import errno
import os
import re
import stat
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from tempfile import NamedTemporaryFile
from typing import IO

from voicelog.errors import ExportError

_KEPT_HERE = re.compile(r"\.(sqlite\b|(keys?|toml|voice)$)", re.IGNORECASE)
"""What records and backups, keys, settings, own words and learnt voices are called, here and on
any other disk, with all that lies beside them under their name."""


def write_file(path: Path, content: str | bytes, *, over: bool = False) -> None:
    """Write text as UTF-8, or bytes as they are, to a `new_file`. Raises ExportError."""
    with new_file(path, over=over) as file:
        file.write(content.encode() if isinstance(content, str) else content)


@contextmanager
def new_file(path: Path, *, over: bool = False) -> Iterator[IO[bytes]]:
    """A file to write where a person said, readable by its owner only.

    `over` may take the place of another file, but never that of records, keys or settings. A pipe
    or a device, such as /dev/stdout, is written to as it is. Raises ExportError.
    """
    with _explained(path):
        mode = _mode(path)
        if stat.S_ISFIFO(mode) or stat.S_ISCHR(mode):
            with path.open("wb") as file:
                yield file
            return
        place = path.resolve()  # what a link leads to is what would be lost
        _check(path, place, mode, over=over)
        with whole_file(place) as file:
            yield file


def refuse_place(path: Path, *, over: bool = False) -> None:
    """Find out before anything is written whether `new_file` would take this place. Raises
    ExportError."""
    with _explained(path):
        mode = _mode(path)
        if not (stat.S_ISFIFO(mode) or stat.S_ISCHR(mode)):
            _check(path, path.resolve(), mode, over=over)


@contextmanager
def whole_file(path: Path) -> Iterator[IO[bytes]]:
    """A file to write that takes its place only when all of it is there.

    It is written beside its place first and then renamed, so a file of that name is either the
    old or the whole new one. Raises ExportError.
    """
    with (
        _explained(path),
        NamedTemporaryFile(dir=path.parent, prefix=f".{path.name}.", delete=False) as file,
    ):
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


def no_folder(folder: Path) -> ExportError:
    """The error for a folder that is not there."""
    return ExportError(
        f"There is no folder {folder}",
        kept="Nothing was written",
        do="Make that folder first, or choose another place",
    )


def _mode(path: Path) -> int:
    """What kind of file is there; 0 for none."""
    try:
        return path.stat().st_mode
    except (FileNotFoundError, NotADirectoryError):
        return 0


def _check(path: Path, place: Path, mode: int, *, over: bool) -> None:
    if not place.parent.is_dir():
        raise no_folder(path.parent)
    if _KEPT_HERE.search(place.name):
        what, do = "has the name of records, keys or settings", "Choose a name such as note.pdf"
    elif mode and not stat.S_ISREG(mode):
        what = "is a folder" if stat.S_ISDIR(mode) else "is neither a file nor a pipe"
        do = "Name a file, such as note.pdf"
    elif mode and not over:
        what, do = "is there already", "Choose another name, or add --over to replace it"
    else:
        return
    raise ExportError(
        f"{path} {what}", kept="It was left as it is" if mode else "Nothing was written", do=do
    )


@contextmanager
def _explained(path: Path) -> Iterator[None]:
    try:
        yield
    except OSError as error:
        reason, do = _reason(error)
        raise ExportError(
            f"The file {path} could not be written: {reason}",
            kept="No half file was left, and all records are still in the store",
            do=do,
        ) from error


def _reason(error: OSError) -> tuple[str, str]:
    """Why, and what to do."""
    if error.errno == errno.ENOSPC:
        return "the disk is full", "Free some space, or choose another place, and try again"
    return (error.strerror or str(error)).lower(), "Choose another place, and try again"
