"""The file beside an encrypted store that holds its key, wrapped once for each way in.

It gives nothing away without one of them, and without it nothing opens the store: it belongs to
every copy of the store.
"""

from dataclasses import dataclass
from pathlib import Path
from typing import Literal

from pydantic import BaseModel, ConfigDict, ValidationError

from voicelog.errors import StoreError
from voicelog.store.drivers import FileKey
from voicelog.store.own_files import make_folder, put_new, put_whole
from voicelog.store.wrapping import (
    Cost,
    KeptWay,
    Typed,
    TypedWay,
    WrongKey,
    unwrap_typed,
    wrap_typed,
)


class Keys(BaseModel):
    """All ways into one store."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    voicelog_keys: Literal[1] = 1
    ways: tuple[TypedWay | KeptWay, ...]

    @property
    def typed(self) -> tuple[TypedWay, ...]:
        """The ways by something typed."""
        return tuple(way for way in self.ways if isinstance(way, TypedWay))

    @property
    def kept(self) -> tuple[KeptWay, ...]:
        """The ways by a secret kept elsewhere."""
        return tuple(way for way in self.ways if isinstance(way, KeptWay))

    def with_typed(self, by: Typed, typed: str, key: FileKey, cost: Cost) -> "Keys":
        """The same with this passphrase or recovery key in place of the one there was."""
        others = tuple(way for way in self.ways if way.by != by)
        return Keys(ways=(*others, wrap_typed(by, typed, key, cost)))

    def without_kept(self) -> "Keys":
        """Only the ways by something typed."""
        return Keys(ways=self.typed)

    def opened_by(self, typed: str) -> FileKey:
        """The file's key, from a passphrase or a recovery key. Raises WrongKey."""
        for way in self.typed:
            try:
                return unwrap_typed(way, typed)
            except WrongKey:
                continue
        raise WrongKey


@dataclass(frozen=True, slots=True)
class NewKeys:
    """Keys to write; `recovery` is a new recovery key among them, to be shown once they are."""

    keys: Keys
    recovery: str | None = None


def keys_path(store_file: Path) -> Path:
    """Where the keys of a store lie."""
    return store_file.with_name(f"{store_file.name}.keys")


def waiting_keys(store_file: Path) -> Path:
    """Where they lie while the store is being encrypted, until the encrypted file is in place."""
    return store_file.with_name(f"{store_file.name}.keys.new")


def read_keys(path: Path) -> Keys | None:
    """The keys file, or None when there is none. Raises StoreError when it cannot be read."""
    try:
        return Keys.model_validate_json(path.read_bytes())
    except (FileNotFoundError, NotADirectoryError):
        return None
    except (OSError, ValidationError) as error:
        reason = error.strerror if isinstance(error, OSError) else "it is damaged"
        raise StoreError(
            f"The keys file {path} cannot be read: {reason}",
            kept="It was left as it is, and so were the records",
            do="Put it back from the newest backup: it lies there beside the records",
        ) from error


def write_keys(path: Path, keys: Keys) -> None:
    """Write the keys file, in place of the one there was. Raises OSError."""
    put_whole(path, keys.model_dump_json(indent=2).encode())


def write_first_keys(path: Path, keys: Keys) -> bool:
    """Write the keys file of a new store; False when another program was first. Raises OSError."""
    make_folder(path.parent)
    return put_new(path, keys.model_dump_json(indent=2).encode())
