"""Where a random secret is kept on this machine: the system's keyring, or a file of its own."""

from collections.abc import Iterable
from contextlib import suppress
from pathlib import Path
from typing import Protocol

from voicelog.store.own_files import make_folder, put_new
from voicelog.store.wrapping import SECRET_BYTES, Kept

_SERVICE = "voicelog"


class Place(Protocol):
    """Keeps secrets by name. No call raises: what cannot be kept or found is False or None."""

    by: Kept

    def where(self, name: str) -> str:
        """The place of a secret, in words."""
        ...

    def put(self, name: str, secret: bytes) -> bool:
        """Keep a secret; whether it can be read back."""
        ...

    def get(self, name: str) -> bytes | None:
        """The secret of that name."""
        ...

    def remove(self, name: str) -> None:
        """Forget a secret, if it is there."""
        ...


class Keyring:
    """The keyring that the system opens when its user logs in."""

    by: Kept = "keyring"

    def where(self, name: str) -> str:
        """The place of a secret, in words."""
        return f"this system's keyring, under {_SERVICE} {name}"

    def put(self, name: str, secret: bytes) -> bool:
        """Keep a secret; whether it can be read back.

        Only where the keyring counts itself as a safe place (a priority of 1 or more, by the
        library's own scale).
        """
        # A keyring fails in as many ways as there are systems; each means that there is none.
        with suppress(Exception):
            import keyring

            if keyring.get_keyring().priority >= 1:
                keyring.set_password(_SERVICE, name, secret.hex())
                return self.get(name) == secret
        return False

    def get(self, name: str) -> bytes | None:
        """The secret of that name."""
        with suppress(Exception):
            import keyring

            kept = keyring.get_password(_SERVICE, name)
            return None if kept is None else bytes.fromhex(kept)
        return None

    def remove(self, name: str) -> None:
        """Forget a secret, if it is there."""
        with suppress(Exception):
            import keyring

            keyring.delete_password(_SERVICE, name)


class KeyFile:
    """A file of mode 0600 in the first of these folders that can be written."""

    by: Kept = "key file"

    def __init__(self, folders: Iterable[Path]) -> None:
        self._folders = tuple(folders)

    def where(self, name: str) -> str:
        """The place of a secret, in words."""
        found = next((path for path in self._paths(name) if path.exists()), self._paths(name)[0])
        return str(found)

    def put(self, name: str, secret: bytes) -> bool:
        """Keep a secret; whether it can be read back."""
        for path in self._paths(name):
            with suppress(OSError):
                make_folder(path.parent)
                if put_new(path, secret.hex().encode()):
                    return self.get(name) == secret
        return False

    def get(self, name: str) -> bytes | None:
        """The secret of that name."""
        for path in self._paths(name):
            with suppress(OSError, ValueError):
                secret = bytes.fromhex(path.read_text(encoding="ascii"))
                if len(secret) == SECRET_BYTES:
                    return secret
        return None

    def remove(self, name: str) -> None:
        """Forget a secret, if it is there."""
        for path in self._paths(name):
            with suppress(OSError):
                path.unlink(missing_ok=True)

    def _paths(self, name: str) -> tuple[Path, ...]:
        return tuple(folder / f"{name}.key" for folder in self._folders)
