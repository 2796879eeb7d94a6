"""How the transcriber writes words: as pieces, each of them a number.

The pieces are those of its own vocabulary, joined from single letters as byte pair encoding does
(Sennrich, Haddow and Birch 2016, from memory), the most usual pair first.
"""

from collections.abc import Iterable
from functools import cached_property
from itertools import pairwise
from pathlib import Path

from voicelog.errors import RecogniserError

SPACE = "▁"
"""Stands for the space before a word."""
_MARKS, _LETTERS = 3, range(259, 32_000)
"""The first pieces are marks, the next, before the letters and what is joined of them, are single
bytes; behind those come marks again."""


class WordPieces:
    """A vocabulary: one file, in which each piece stands behind its length. It is read when it is
    first needed, which raises RecogniserError where it is damaged."""

    def __init__(self, file: Path) -> None:
        self._file = file

    def of(self, text: str) -> tuple[int, ...]:
        """The pieces of a text; spaces written as `SPACE`. A letter that the vocabulary has not is
        written in its bytes."""
        parts = list(text)
        while len(parts) > 1:
            pairs = [self._numbers.get(a + b) for a, b in pairwise(parts)]
            usual = min((number for number in pairs if number is not None), default=None)
            if usual is None:
                break
            place = pairs.index(usual)
            parts[place : place + 2] = [parts[place] + parts[place + 1]]
        return tuple(number for part in parts for number in self._pieces_of(part))

    def text(self, pieces: Iterable[int]) -> str:
        """The text of some pieces; single bytes and marks are left out."""
        return "".join(self._all[p] for p in pieces if p in _LETTERS).replace(SPACE, " ").strip()

    def _pieces_of(self, part: str) -> list[int]:
        if part in self._numbers:
            return [self._numbers[part]]
        return [_MARKS + byte for byte in part.encode()]

    @cached_property
    def _numbers(self) -> dict[str, int]:
        return {piece: number for number, piece in enumerate(self._all) if number in _LETTERS}

    @cached_property
    def _all(self) -> list[str]:
        try:
            return _pieces(self._file.read_bytes())
        except (OSError, IndexError) as error:
            raise RecogniserError(
                f"The vocabulary {self._file} cannot be used ({error})", do="Install voicelog again"
            ) from error


def _pieces(data: bytes) -> list[str]:
    found, at = [], 0
    while at < len(data):
        size, at = data[at], at + 1
        if size >= 128:  # two bytes, the lower seven bits first
            size, at = size - 128 + 128 * data[at], at + 1
        found.append(data[at : at + size].decode("utf-8", "replace"))
        at += size
    if at > len(data):
        raise IndexError("its last piece is cut off")
    return found
