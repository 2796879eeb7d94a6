"""A file's key, wrapped so that a passphrase, a printed recovery key or a secret kept elsewhere
on the machine can unwrap it.

All of it is standard: scrypt (RFC 7914) makes a wrapping key from what a person types, with the
cost OWASP's Password Storage Cheat Sheet asks for (N = 2^17, r = 8, p = 1); AES key wrap
(RFC 3394) with 256 bits wraps the file's key and notices a wrong one; passphrases are taken in
Unicode's form NFC, as RFC 8265 prepares them, so that every keyboard writes the same; a recovery
key is 160 random bits in base32 (RFC 4648).
"""

import base64
import secrets
import unicodedata
from typing import Annotated, Literal

from pydantic import BaseModel, ConfigDict, Field, StringConstraints

from voicelog.store.drivers import KEY_BYTES, SALT_BYTES, FileKey

Hex = Annotated[str, StringConstraints(pattern=r"^([0-9a-f]{2})+$")]
Typed = Literal["passphrase", "recovery key"]
Kept = Literal["keyring", "key file"]

SECRET_BYTES = 32
_RECOVERY_BYTES = 20
_LOOK_ALIKE = str.maketrans({"0": "O", "1": "I", "8": "B"})


class Cost(BaseModel):
    """How dear a guess is: scrypt's N as a power of two, r and p."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    log2_n: int = Field(default=17, ge=1, le=20)
    r: int = Field(default=8, ge=1, le=8)
    p: int = Field(default=1, ge=1, le=4)


class TypedWay(BaseModel):
    """A way in by something that a person knows or has on paper."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    by: Typed
    salt: Hex
    cost: Cost
    wrapped: Hex


class KeptWay(BaseModel):
    """A way in by a random secret that is kept elsewhere, under a name."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    by: Kept
    name: Annotated[str, StringConstraints(pattern=r"^[0-9a-f]{16}$")]
    wrapped: Hex


class WrongKey(Exception):
    """What was given does not unwrap this key."""


def new_file_key() -> FileKey:
    """A key for a new file."""
    return FileKey(secrets.token_bytes(KEY_BYTES + SALT_BYTES))


def new_recovery_key() -> str:
    """A key to print: eight groups of four letters and digits."""
    text = base64.b32encode(secrets.token_bytes(_RECOVERY_BYTES)).decode()
    return "-".join(text[i : i + 4] for i in range(0, len(text), 4))


def wrap_typed(by: Typed, typed: str, key: FileKey, cost: Cost) -> TypedWay:
    """The way in by what a person types."""
    salt = secrets.token_bytes(16)
    wrapped = _wrap(_derived(by, typed, salt, cost), key)
    return TypedWay(by=by, salt=salt.hex(), cost=cost, wrapped=wrapped)


def unwrap_typed(way: TypedWay, typed: str) -> FileKey:
    """The file's key, from what was typed. Raises WrongKey."""
    return _unwrap(_derived(way.by, typed, bytes.fromhex(way.salt), way.cost), way.wrapped)


def wrap_kept(by: Kept, name: str, secret: bytes, key: FileKey) -> KeptWay:
    """The way in by a random secret of 32 bytes; it needs no derivation."""
    return KeptWay(by=by, name=name, wrapped=_wrap(secret, key))


def unwrap_kept(way: KeptWay, secret: bytes) -> FileKey:
    """The file's key, from the secret that was kept. Raises WrongKey."""
    return _unwrap(secret, way.wrapped)


def _derived(by: Typed, typed: str, salt: bytes, cost: Cost) -> bytes:
    from cryptography.hazmat.primitives.kdf.scrypt import Scrypt

    if by == "recovery key":
        typed = "".join(c for c in typed.upper().translate(_LOOK_ALIKE) if c.isalnum())
    prepared = unicodedata.normalize("NFC", typed).encode()
    scrypt = Scrypt(salt=salt, length=SECRET_BYTES, n=2**cost.log2_n, r=cost.r, p=cost.p)
    return scrypt.derive(prepared)


def _wrap(wrapping: bytes, key: FileKey) -> str:
    from cryptography.hazmat.primitives.keywrap import aes_key_wrap

    return aes_key_wrap(wrapping, key.raw).hex()


def _unwrap(wrapping: bytes, wrapped: str) -> FileKey:
    from cryptography.hazmat.primitives.keywrap import InvalidUnwrap, aes_key_unwrap

    try:
        return FileKey(aes_key_unwrap(wrapping, bytes.fromhex(wrapped)))
    except (InvalidUnwrap, ValueError) as error:
        raise WrongKey from error
