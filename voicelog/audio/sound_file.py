"""A sound file that looks just like a microphone."""

import re
from collections.abc import Iterator
from pathlib import Path
from types import TracebackType
from typing import Self

import numpy as np
import soundfile

from voicelog.audio.base import Block
from voicelog.audio.blocks import BLOCK_S, BlockCutter, Frames
from voicelog.errors import AudioError

CHUNK_S = 0.1
READABLE = "Give a WAV or FLAC file"
# WAV with its later forms for more channels and more than 4 GB (EBU Tech 3306, from memory), and
# FLAC. What a name ends in says little, and of an MP3 the library writes pages to the terminal.
FORMATS = ("WAV", "WAVEX", "RF64", "W64", "FLAC")
# Telephone speech has 8000 samples a second (ITU-T G.711, from memory). At a handful of them a
# second, as in a damaged header, a small file would last for days. The highest is common practice,
# no source.
RATES_HZ = range(8_000, 1_000_001)
# A program that streams a WAV cannot know its length and writes the largest number instead.
UNKNOWN_LENGTH_BYTES = 0x7FFF_0000


class SoundFile:
    """Reads WAV or FLAC of any rate and any number of channels, piece by piece.

    Raises AudioError when the file cannot be opened, holds no sound, or breaks off.
    """

    def __init__(self, path: Path, block_s: float = BLOCK_S) -> None:
        self._path = path
        self._block_s = block_s
        self._file: soundfile.SoundFile | None = None

    def __enter__(self) -> Self:
        self._file = open_sound(self._path)
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        if self._file is not None:
            self._file.close()
            self._file = None

    def __iter__(self) -> Iterator[Block]:
        if self._file is None:
            raise RuntimeError("a SoundFile is read inside its with block")
        cutter = BlockCutter(self._file.samplerate, self._block_s)
        for frames in read_frames(self._file, self._path):
            yield from cutter.feed(frames)
        yield from cutter.flush()

    def drop_unread(self) -> None:
        """Nothing to throw away: a file waits, it does not hear the tool speak."""


def open_sound(path: Path) -> soundfile.SoundFile:
    """Open a sound file for reading. Raises AudioError when there is nothing to hear in it."""
    if path.is_dir():
        raise AudioError(f"{path} is a folder, not a sound file", do=READABLE)
    if not path.exists():
        raise AudioError(f"There is no file {path}", do="Check the name and the folder")
    if not path.is_file():
        raise AudioError(f"{path} is a pipe or a device, not a sound file", do=READABLE)
    try:
        if path.stat().st_size == 0:
            raise AudioError(f"{path} is empty", do="Record it again, or give another file")
        file = soundfile.SoundFile(path)
    except (OSError, soundfile.SoundFileError) as error:
        what = f"{path} cannot be read as sound ({_reason(error)})"
        raise AudioError(what, do=READABLE) from error
    what = ""
    if file.format not in FORMATS:
        file.close()
        raise AudioError(f"{path} is neither WAV nor FLAC, but {file.format}", do=READABLE)
    if file.frames == 0:
        what = f"{path} has a header but no sound"
    elif file.samplerate not in RATES_HZ:
        what = f"{path} says {file.samplerate} samples a second, as no recording of speech has"
    if what:
        file.close()
        raise AudioError(what, do="Record it again, or give another file")
    return file


def length_s(path: Path) -> float:
    """How long the sound in a file lasts, in seconds. Raises AudioError as `open_sound` does."""
    with open_sound(path) as file:
        return float(file.frames / file.samplerate)


def read_frames(file: soundfile.SoundFile, path: Path) -> Iterator[Frames]:
    """The file from its beginning, a tenth of a second at a time.

    Raises AudioError where the file breaks off, after everything before the break was given.
    """
    chunk = max(1, round(CHUNK_S * file.samplerate))
    read = 0
    try:
        file.seek(0)
        while len(frames := file.read(chunk, dtype="float32", always_2d=True)):
            read += len(frames)
            # A damaged file of floats may hold what is no number, and a loud one goes beyond 1.
            yield np.nan_to_num(frames, nan=0.0, posinf=1.0, neginf=-1.0)
    except soundfile.SoundFileError as error:
        raise _broken_off(path, read / file.samplerate) from error
    if read < file.frames or _is_cut_short(file):
        raise _broken_off(path, read / file.samplerate)


def _broken_off(path: Path, at_s: float) -> AudioError:
    return AudioError(
        f"{path} is damaged or incomplete: it breaks off after {at_s:.1f} seconds",
        kept="What came before the break was heard",
        do="Copy the file again from where it was recorded",
    )


def _is_cut_short(file: soundfile.SoundFile) -> bool:
    # libsndfile quietly shortens a truncated WAV; only its log still tells the promised length.
    promised = re.search(r"^data\s*:\s*(\d+) \(should be (\d+)\)", file.extra_info, re.MULTILINE)
    if promised is None:
        return False
    said, found = int(promised[1]), int(promised[2])
    return found < said < UNKNOWN_LENGTH_BYTES


def _reason(error: Exception) -> str:
    text = getattr(error, "error_string", None) or getattr(error, "strerror", None) or str(error)
    return str(text).strip().rstrip(".")
