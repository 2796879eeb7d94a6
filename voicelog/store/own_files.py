"""Files that only their owner may read, whose names and content survive a power cut."""

import os
import secrets
from contextlib import suppress
from pathlib import Path


def make_folder(folder: Path) -> None:
    """Make a folder closed to others, unless it is there. Raises OSError."""
    if not folder.exists():
        folder.mkdir(mode=0o700, parents=True, exist_ok=True)
        sync_folder(folder.parent)


def sync_folder(folder: Path) -> None:
    """Make the names in a folder survive a power cut; Windows has no such call."""
    if os.name != "posix":
        return
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


def put_whole(path: Path, content: bytes) -> None:
    """Write a file that is either the old or the whole new one at any moment. Raises OSError."""
    written = _written(path, content)
    try:
        written.replace(path)
    except BaseException:
        written.unlink()
        raise
    sync_folder(path.parent)


def put_new(path: Path, content: bytes) -> bool:
    """The same for a file that must not be there yet; False when somebody else was first."""
    written = _written(path, content)
    try:
        if not link_new(written, path):
            return False
    finally:
        written.unlink(missing_ok=True)
    sync_folder(path.parent)
    return True


def link_new(source: Path, path: Path) -> bool:
    """Give a file another name, unless that is taken (False). The first name may go with it."""
    try:
        path.hardlink_to(source)
    except FileExistsError:
        return False
    except OSError:  # a file system without hard links
        if path.exists():
            return False
        source.rename(path)
    return True


def beside(path: Path, word: str) -> Path:
    """A name beside a file that nobody else uses."""
    return path.with_name(f"{path.name}.{word}-{secrets.token_hex(4)}")


def erase(path: Path) -> None:
    """Overwrite a file and remove it. A disk may keep copies of its own all the same, such as
    an SSD does in its spare blocks (NIST SP 800-88)."""
    with path.open("r+b") as file:
        left = path.stat().st_size
        while left > 0:
            left -= file.write(bytes(min(left, 1 << 20)))
        file.flush()
        os.fsync(file.fileno())
    path.unlink()
    with suppress(OSError):
        sync_folder(path.parent)


def _written(path: Path, content: bytes) -> Path:
    temporary = beside(path, "new")
    handle = os.open(temporary, os.O_CREAT | os.O_EXCL | os.O_WRONLY, 0o600)
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(content)
            file.flush()
            os.fsync(file.fileno())
    except BaseException:
        temporary.unlink()
        raise
    return temporary
