"""The two libraries that open a file of records: Python's own, and SQLCipher for an encrypted one.

SQLCipher encrypts every page of the file and of its write-ahead log with AES-256 and seals it
with an HMAC (https://www.zetetic.net/sqlcipher/design/). It is handed the key as it is, so that
no key derivation runs each time a file is opened; the salt comes with the key, so that several
programs can set up one new file at once.
"""

import sqlite3
import sys
from dataclasses import dataclass, field
from pathlib import Path
from types import ModuleType
from typing import Any, cast

from voicelog.errors import StoreError

KEY_BYTES, SALT_BYTES = 32, 16
PLAIN_HEADER = b"SQLite format 3\0"
"""How every plain SQLite file begins (https://sqlite.org/fileformat.html); an encrypted one
begins with its salt, which is as long."""


@dataclass(frozen=True, slots=True)
class FileKey:
    """What opens an encrypted file: 32 bytes of key and 16 of salt. Never printed."""

    raw: bytes = field(repr=False)

    def __post_init__(self) -> None:
        if len(self.raw) != KEY_BYTES + SALT_BYTES:
            raise ValueError("a file's key and its salt have 48 bytes")

    @property
    def literal(self) -> str:
        """The key as SQLCipher's PRAGMA key and ATTACH take it."""
        return f"\"x'{self.raw.hex()}'\""


def connect(path: Path, wait_s: float, key: FileKey | None, *, how: str = "") -> sqlite3.Connection:
    """A connection in autocommit mode; `wait_s` is how long it waits for another program, `how` is
    for SQLite to open it otherwise than to write (https://sqlite.org/uri.html)."""
    name = f"{path.absolute().as_uri()}?{how}" if how else str(path)
    if key is None:
        return sqlite3.connect(name, timeout=wait_s, isolation_level=None, uri=bool(how))
    connection = sqlcipher().connect(name, timeout=wait_s, isolation_level=None, uri=bool(how))
    # What goes wrong is told once, by us, and not on standard error as well.
    connection.execute("PRAGMA cipher_log_level = NONE")
    connection.execute(f"PRAGMA key = {key.literal}")
    return cast(sqlite3.Connection, connection)


def sqlcipher() -> Any:
    """SQLCipher's library. Raises StoreError where it is not installed."""
    try:
        from sqlcipher3 import dbapi2
    except ImportError as error:
        raise StoreError(
            f"Encrypted records need the package sqlcipher3, which cannot be loaded: {error}",
            kept="Nothing was written, and no record was kept unencrypted in its place",
            do="Install it with: pip install sqlcipher3",
        ) from error
    return dbapi2


def failures() -> tuple[type[Exception], ...]:
    """What either library raises; SQLCipher's only once it is in use."""
    loaded: ModuleType | None = sys.modules.get("sqlcipher3.dbapi2")
    return (sqlite3.Error,) if loaded is None else (sqlite3.Error, loaded.Error)


def is_plain(path: Path) -> bool:
    """Whether there is a file that anybody can read. Asked by the first bytes alone; a file that
    this process has open must not be asked (https://sqlite.org/howtocorrupt.html, 2.2)."""
    return _beginning(path) == PLAIN_HEADER


def is_under(path: Path, key: FileKey) -> bool:
    """Whether a file was encrypted with this key, by the salt that came with it. Asked as above."""
    return _beginning(path) == key.raw[KEY_BYTES:]


def _beginning(path: Path) -> bytes:
    try:
        with path.open("rb") as file:
            return file.read(SALT_BYTES)
    except OSError:
        return b""
