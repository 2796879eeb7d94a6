"""A small picture of a sound clip."""

from functools import lru_cache
from itertools import pairwise

import numpy as np

from voicelog.audio.clips import from_flac

BARS, HEIGHT = 96, 40
_STEP = 3
_LEAST = 1.0


@lru_cache(maxsize=512)
def waveform(flac: bytes) -> str:
    """The path of an SVG picture, `BARS` * 3 wide and `HEIGHT` high: the loudest moment of each
    stretch. Raises AudioError when the clip is damaged. Every look at a visit asks for all of them
    anew, hence what is remembered."""
    samples = np.abs(from_flac(flac).astype(np.float32)) / 32768
    edges = np.linspace(0, len(samples), BARS + 1).astype(int)
    peaks = [samples[a:b].max() if b > a else 0.0 for a, b in pairwise(edges)]
    loudest = max(*peaks, 0.05)
    middle = HEIGHT / 2
    strokes = []
    for at, peak in enumerate(peaks):
        half = max(_LEAST, float(peak) / loudest * (middle - 2))
        strokes.append(f"M{at * _STEP + 1} {middle - half:.1f}v{2 * half:.1f}")
    return "".join(strokes)
