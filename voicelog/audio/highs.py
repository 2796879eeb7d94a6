"""Puts back what a microphone with the band of a telephone leaves out.

Many wireless headsets carry nothing above 3.4 or 4 kHz while they send speech, as does a recording
of 8000 samples a second. The engine's model listens up to 6.8 kHz and takes the emptiness there for
another sound: "six" becomes "eight". So where a voice has nothing up there, a small network guesses
from the bands below how loud it would be, window by window, and noise of that loudness is put
there; the engine cannot tell it from the hiss of an "s" (bandwidth extension: Jax and Vary 2003,
Signal Processing 83(8), from memory). The weights beside this file were made by
`audio_fixtures/teach_highs.py`. Only the engine hears it; the sound that is kept is never touched.
"""

from collections import deque
from functools import cache
from pathlib import Path

import numpy as np

from voicelog.audio.bands import (
    BANDS,
    HOP,
    WINDOW,
    BandFilter,
    Floats,
    Spectra,
    filters,
    levels_db,
    spectra_of,
)
from voicelog.audio.base import RATE_HZ, Samples
from voicelog.audio.level import FULL_SCALE

HEARD = slice(4, 22)
"""The bands, 0.3 to 3.4 kHz, that every microphone for speech carries (ITU-T G.712, from
memory)."""
GUESSED = slice(22, BANDS)
EMPTY = slice(25, 31)
"""The bands, 4.3 to 7 kHz, of which nothing comes over 8000 samples a second."""
EMPTY_DB = 50.0
"""A voice whose loudest window in `EMPTY` is softer by more than that than the loudest one in
`HEARD` has nothing up there."""
LOOK = 2
"""A window is guessed from so many before and behind it, too."""
KNOWN_S = 1.0
"""Whether the highs are missing is known from so much of the beginning, in seconds, or from all of
it. As long as the engine waits for its level anyway."""
_WEIGHTS = Path(__file__).with_suffix(".npz")
_NOISE_S = 16
_STREAM_BLOCKS = 333
"""Of 30 ms, as a microphone gives them: ten seconds."""


def are_missing(sound: Samples) -> bool:
    """Whether a voice in the sound has nothing in its highs; not where there is none."""
    levels = levels_db(spectra_of(np.asarray(sound / FULL_SCALE, np.float32)))
    if not len(levels):
        return False
    return bool(levels[:, EMPTY].max() < levels[:, HEARD].max() - EMPTY_DB)


def in_context(around: Floats) -> tuple[Floats, Floats]:
    """What the network is shown of each window: the levels in `HEARD`, in tens of dB, of the window
    and of those around it, less its own mean; and that mean in dB. From the levels in dB,
    (windows + 2 * LOOK, bands)."""
    count = len(around) - 2 * LOOK
    mean = around[LOOK : LOOK + count].mean(axis=1, keepdims=True)
    pieces = [around[first : first + count] - mean for first in range(2 * LOOK + 1)]
    return np.asarray(np.concatenate(pieces, axis=1) / 10, np.float32), mean


def guessed_db(around: Floats) -> Floats:
    """How loud the bands `GUESSED` are in each window, in dB; (windows, bands) of the levels in dB
    of `HEARD`, (windows + 2 * LOOK, bands)."""
    weights = _weights()
    found, mean = in_context(around)
    for layer in ("0", "2"):
        found = np.tanh(found @ weights[f"{layer}.weight"].T + weights[f"{layer}.bias"])
    return mean + 10 * (found @ weights["4.weight"].T + weights["4.bias"])


class Highs(BandFilter):
    """Puts highs into a stream of sound while they are `missing`; else it comes out as it went
    in."""

    def __init__(self) -> None:
        super().__init__(LOOK)
        self.missing = False
        self._around = np.zeros((0, HEARD.stop - HEARD.start), np.float32)
        self._windows = 0

    def judge(self, levels: Floats) -> Floats:
        """How loud the highs would be."""
        if not len(self._around):
            self._around = np.repeat(levels[:1, HEARD], 2 * LOOK, axis=0)
        self._around = np.concatenate([self._around, levels[:, HEARD]])
        around, self._around = self._around, self._around[-2 * LOOK :]
        return guessed_db(around) if self.missing else np.zeros_like(levels[:, GUESSED])

    def change(self, spectra: Spectra, judged: Floats) -> Spectra:
        """With noise of that loudness in the highs."""
        if not self.missing:
            return spectra
        noise, loud_db = _noise()
        places = np.arange(self._windows, self._windows + len(spectra))
        self._windows += len(spectra)
        hiss = np.take(noise, places, axis=0, mode="wrap")
        low, high = filters()[: GUESSED.start].sum(axis=0), filters()[GUESSED]
        return np.asarray(spectra * low + hiss * (10 ** ((judged - loud_db) / 20) @ high))


class HighsOfStream(Highs):
    """Follows a microphone, and goes by the last seconds: in a loud room somebody always talks."""

    def __init__(self) -> None:
        super().__init__()
        self._loudest: deque[tuple[float, float]] = deque(maxlen=_STREAM_BLOCKS)

    def judge(self, levels: Floats) -> Floats:
        """The same, and whether the highs are missing by now."""
        self._loudest.append((levels[:, EMPTY].max(), levels[:, HEARD].max()))
        empty_db, heard_db = np.max(self._loudest, axis=0)
        self.missing = bool(empty_db < heard_db - EMPTY_DB)
        return super().judge(levels)


class HighsOfUtterance:
    """Follows an utterance from its beginning, and goes by its first second."""

    def __init__(self) -> None:
        self.begin()

    def begin(self) -> None:
        """Another utterance starts."""
        self._highs = Highs()
        self._held: list[Samples] = []
        self._known = False

    def hear(self, samples: Samples) -> Samples:
        """Takes in more sound, and gives back what an engine is to hear by now."""
        if self._known:
            return self._highs.feed(samples) if self._highs.missing else samples
        self._held.append(samples)
        if sum(map(len, self._held)) < KNOWN_S * RATE_HZ:
            return np.zeros(0, np.int16)
        return self._all_held()

    def end(self) -> Samples:
        """The rest, as the utterance is over."""
        held = np.zeros(0, np.int16) if self._known else self._all_held()
        return np.concatenate([held, self._highs.flush()])

    def whole(self, samples: Samples) -> Samples:
        """An utterance that is complete."""
        self.begin()
        return np.concatenate([self.hear(samples), self.end()])

    def _all_held(self) -> Samples:
        sound = np.concatenate([np.zeros(0, np.int16), *self._held])
        self._held, self._known = [], True
        self._highs.missing = are_missing(sound[: round(KNOWN_S * RATE_HZ)])
        return self._highs.feed(sound) if self._highs.missing else sound


@cache
def _noise() -> tuple[Spectra, Floats]:
    """The spectra of some seconds of white noise, and how loud it is in each of `GUESSED`, in dB;
    the same each time, so that the same sound is always heard the same."""
    white = np.random.default_rng(1).standard_normal(_NOISE_S * RATE_HZ + WINDOW - HOP)
    spectra = spectra_of(np.asarray(white, np.float32))
    return spectra, levels_db(spectra)[:, GUESSED].mean(axis=0)


@cache
def _weights() -> dict[str, Floats]:
    with np.load(_WEIGHTS) as file:
        return {name: file[name].astype(np.float32) for name in file.files}
