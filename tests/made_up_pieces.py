"""Vocabularies for a transcriber that tests make up, and one that writes what a test says."""

from collections.abc import Callable, Iterable, Sequence
from pathlib import Path
from string import ascii_letters

import numpy as np

from voicelog.audio.base import Samples
from voicelog.recognisers.transcriber import END, START, Floats
from voicelog.recognisers.word_pieces import SPACE, WordPieces

FIRST = 259
"""The number of the first piece with letters; 256 single bytes and three marks come before it."""
ROWS_A_SECOND = 41.67
"""A row of the real network stands for 384 samples."""


def written(pieces: Iterable[str]) -> bytes:
    """The file of a vocabulary, in which these have the numbers from `FIRST` on: before each piece
    stands how many bytes it has, from 128 on in two bytes, the lower seven bits first."""
    data = bytearray()
    for piece in ["<unk>", "<s>", "</s>", *("?" for _ in range(256)), *pieces]:
        size = len(piece.encode())
        data += bytes([size] if size < 128 else [size % 128 + 128, size // 128])
        data += piece.encode()
    return bytes(data)


def vocabulary(folder: Path, joined: Sequence[str]) -> WordPieces:
    """Single letters, a few marks, and what is joined of them, the most usual first."""
    file = folder / "tokenizer.bin"
    file.write_bytes(written([*joined, SPACE, *ascii_letters, *",.-·"]))
    return WordPieces(file)


class ScriptedTranscriber:
    """Says how likely each next piece is by a rule of the test: from the pieces of a text so far,
    without `START`, to the logarithms of the probabilities of those that matter. All others have
    the rest in equal shares."""

    def __init__(self, count: int, rule: Callable[[tuple[int, ...]], dict[int, float]]) -> None:
        self._count, self._rule = count, rule
        self.steps = 0
        """How many pieces were asked for."""

    def heard(self, samples: Samples) -> Floats:
        return np.zeros((1, round(len(samples) / 16_000 * ROWS_A_SECOND), 1), np.float32)

    def writing(self, heard: Floats, at_once: int) -> "ScriptedWriting":
        return ScriptedWriting(self, at_once)

    def row(self, text: tuple[int, ...]) -> Floats:
        said = self._rule(text)
        rest = max(1 - sum(np.exp(list(said.values()))), 1e-12)
        row = np.full(self._count, np.log(rest / self._count), np.float32)
        row[list(said)] = list(said.values())
        return row


class ScriptedWriting:
    """Keeps the texts that go on, as the real one keeps what was made of them."""

    def __init__(self, by: ScriptedTranscriber, at_once: int) -> None:
        self._by, self._at_once = by, at_once
        self._texts: list[tuple[int, ...]] = []

    def go_on(self, pieces: Sequence[int], of: Sequence[int]) -> Floats:
        self._by.steps += 1
        assert len(pieces) == len(of) <= self._at_once
        if not self._texts:
            assert list(pieces) == [START]
            self._texts = [()]
        else:
            assert END not in pieces
            self._texts = [(*self._texts[o], p) for p, o in zip(pieces, of, strict=True)]
        return np.stack([self._by.row(text) for text in self._texts])
