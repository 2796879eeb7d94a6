"""The wrapped key of a store, unwrapped by other hands: the standard library's scrypt, and AES key
unwrap written down from the steps of RFC 3394, both held to the vectors of their standards first.
"""

import hashlib
import re

import pytest
from cryptography.hazmat.primitives.ciphers import Cipher, algorithms, modes

from voicelog.store.drivers import FileKey
from voicelog.store.wrapping import (
    Cost,
    WrongKey,
    new_file_key,
    new_recovery_key,
    unwrap_kept,
    unwrap_typed,
    wrap_kept,
    wrap_typed,
)

QUICK = Cost(log2_n=4)
SECRET = bytes(range(100, 132))


def unwrapped(wrapping: bytes, wrapped: bytes) -> bytes:
    """RFC 3394, section 2.2.2, index based; ValueError when the check value is not right."""
    cipher = Cipher(algorithms.AES(wrapping), modes.ECB())
    n = len(wrapped) // 8 - 1
    a, r = wrapped[:8], [wrapped[8 * i : 8 * i + 8] for i in range(1, n + 1)]
    for j in reversed(range(6)):
        for i in reversed(range(n)):
            t = (n * j + i + 1).to_bytes(8)
            decryptor = cipher.decryptor()
            block = decryptor.update(bytes(x ^ y for x, y in zip(a, t, strict=True)) + r[i])
            a, r[i] = block[:8], block[8:]
    if a != bytes.fromhex("A6A6A6A6A6A6A6A6"):
        raise ValueError
    return b"".join(r)


def test_the_second_hand_agrees_with_the_vector_of_rfc_3394() -> None:
    # RFC 3394, section 4.6: 256 bits of key data with a 256-bit key.
    kek = bytes.fromhex("000102030405060708090A0B0C0D0E0F101112131415161718191A1B1C1D1E1F")
    wrapped = bytes.fromhex(
        "28C9F404C4B810F4CBCCB35CFB87F8263F5786E2D80ED326CBC7F0E71A99F43BFB988B9B7A02DD21"
    )
    data = "00112233445566778899AABBCCDDEEFF000102030405060708090A0B0C0D0E0F"
    assert unwrapped(kek, wrapped) == bytes.fromhex(data)


def test_the_second_hand_agrees_with_the_vector_of_rfc_7914() -> None:
    # RFC 7914, section 12: scrypt("password", "NaCl", N=1024, r=8, p=16).
    derived = hashlib.scrypt(b"password", salt=b"NaCl", n=1024, r=8, p=16, dklen=64)
    assert derived.hex().startswith("fdbabe1c9d3472007856e7190d01e9fe7c6ad7cbc8237830e77376634b37")


def test_a_passphrase_unwraps_by_the_standards_alone() -> None:
    key = new_file_key()
    way = wrap_typed("passphrase", "café au lait", key, QUICK)
    derived = hashlib.scrypt(
        "café au lait".encode(), salt=bytes.fromhex(way.salt), n=2**4, r=8, p=1, dklen=32
    )
    assert unwrapped(derived, bytes.fromhex(way.wrapped)) == key.raw
    assert unwrap_typed(way, "café au lait") == key


def test_a_kept_secret_unwraps_by_the_standard_alone() -> None:
    key = new_file_key()
    way = wrap_kept("key file", "0" * 16, SECRET, key)
    assert unwrapped(SECRET, bytes.fromhex(way.wrapped)) == key.raw
    assert unwrap_kept(way, SECRET) == key
    with pytest.raises(WrongKey):
        unwrap_kept(way, SECRET[::-1])


def test_a_guess_costs_what_owasp_asks() -> None:
    # OWASP Password Storage Cheat Sheet, scrypt: N=2^17 (128 MiB), r=8, p=1.
    assert (Cost().log2_n, Cost().r, Cost().p) == (17, 8, 1)


def test_an_accent_typed_as_two_signs_is_the_same_passphrase() -> None:
    # RFC 8265, section 4.2.2, item 4: Unicode Normalization Form C.
    key = new_file_key()
    way = wrap_typed("passphrase", "caf\u00e9", key, QUICK)
    assert unwrap_typed(way, "cafe\u0301") == key
    with pytest.raises(WrongKey):
        unwrap_typed(way, "cafe")


def test_a_recovery_key_is_base32_and_forgives_how_it_was_written_down() -> None:
    # RFC 4648, section 6: the alphabet has no 0, 1 and 8.
    recovery, key = new_recovery_key(), new_file_key()
    assert re.fullmatch(r"([A-Z2-7]{4}-){7}[A-Z2-7]{4}", recovery)
    way = wrap_typed("recovery key", recovery, key, QUICK)
    sloppy = recovery.lower().replace("-", " ").replace("o", "0").replace("b", "8")
    assert unwrap_typed(way, sloppy) == key


def test_no_key_is_ever_the_same_or_shows_when_printed() -> None:
    one, other = new_file_key(), new_file_key()
    assert one != other
    assert one.raw.hex() not in repr(one) + str(one)
    assert new_recovery_key() != new_recovery_key()
    with pytest.raises(ValueError, match="48 bytes"):
        FileKey(b"short")
