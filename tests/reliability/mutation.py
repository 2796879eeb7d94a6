"""Inputs that nobody would send: good ones, damaged by chance."""

import re
from collections.abc import Sequence
from random import Random

_NUMBERS = (b"\x00", b"\xff", b"\x7f\xff\xff\xff", b"\xff\xff\xff\xff", b"\x80\x00\x00\x00", b"\n")
_VALUES = (
    '""', '"x"', "0", "-1", "1e400", "nan", "inf", "true", "[]", "{}", "[[]]", "{a = 1}",
    "9" * 40, '"\\u0000"', '"{"', '"{0.__class__}"', '"(("', '"[a | b"', '"%"', '"\U0001f600"',
    "1979-05-27", '"../../x"', '"' + "a " * 200 + '"',
)  # fmt: skip
_VALUE = re.compile(r'"[^"\n]*"|\b\d+\b|\btrue\b|\bfalse\b')
_ODD = (
    "\x00",
    "\u202e",
    "é",
    "½",
    "٣",
    "ﬁ",
    "\ud7ff",
    "\U0001f600",
    "-",
    "/",
    "°",
    "10",
    "\t",
    "'",
)


def damaged(data: bytes, chance: Random, *, near: int = 0) -> bytes:
    """A few bytes flipped, set, put in, taken out, doubled or cut off; with `near`, mostly within
    so many bytes from the start, where headers are."""
    made = bytearray(data)
    for _ in range(chance.choice((1, 1, 1, 2, 3, 5, 9))):
        end = min(near, len(made)) if near and chance.random() < 0.8 else len(made)
        at = chance.randrange(end) if end else 0
        length = chance.choice((1, 2, 4, 8, 64, 512))
        match chance.randrange(7):
            case 0 if made:
                made[at] ^= 1 << chance.randrange(8)
            case 1 if made:
                made[at] = chance.randrange(256)
            case 2:
                made[at : at + 4] = chance.choice(_NUMBERS)
            case 3:
                made[at:at] = chance.randbytes(length)
            case 4:
                del made[at : at + length]
            case 5:
                made[at:at] = made[at : at + length]
            case _ if chance.random() < 0.2:
                del made[at:]
    return bytes(made)


def damaged_toml(text: str, chance: Random) -> str:
    """Some values replaced by others of any kind; lines lost, doubled, moved."""
    if chance.random() < 0.3:
        return _text(damaged(_bytes(text), chance))
    lines = text.split("\n")
    for _ in range(chance.choice((1, 1, 2, 4))):
        at = chance.randrange(len(lines))
        match chance.randrange(5):
            case 0:
                del lines[at]
            case 1:
                lines.insert(chance.randrange(len(lines) + 1), lines[at])
            case _:
                found = list(_VALUE.finditer(lines[at]))
                if found:
                    value = chance.choice(found)
                    new = chance.choice(_VALUES)
                    lines[at] = lines[at][: value.start()] + new + lines[at][value.end() :]
        if not lines:
            lines = [""]
    return "\n".join(lines)


def _bytes(text: str) -> bytes:
    return text.encode("utf-8", "surrogateescape")


def _text(data: bytes) -> str:
    return data.decode("utf-8", "surrogateescape")


def damaged_words(text: str, vocabulary: Sequence[str], chance: Random) -> str:
    """Words lost, doubled, swapped, put in, spoilt."""
    words = text.split(" ")
    for _ in range(chance.choice((0, 1, 1, 2, 3, 6, 12))):
        at = chance.randrange(len(words)) if words else 0
        match chance.randrange(6):
            case 0 if words:
                del words[at]
            case 1:
                words[at:at] = words[at : at + chance.randint(1, 3)]
            case 2 if words:
                other = chance.randrange(len(words))
                words[at], words[other] = words[other], words[at]
            case 3 if words:
                letters = list(words[at])
                place = chance.randint(0, len(letters))
                letters[place : place + chance.randint(0, 2)] = chance.choice(_ODD)
                words[at] = "".join(letters)
            case _:
                words.insert(at, chance.choice(vocabulary))
    return " ".join(words)
