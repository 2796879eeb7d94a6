"""Sound that goes through a filter piece by piece."""

import numpy as np

from voicelog.audio.bands import HOP, BandFilter
from voicelog.audio.base import RATE_HZ, Samples


def through(changing: BandFilter, sound: Samples, sizes: list[int]) -> Samples:
    """All of the sound, fed in pieces of these sizes in turn, none later than promised."""
    given_back: list[Samples] = []
    at = 0
    while at < len(sound):
        size = sizes[len(given_back) % len(sizes)]
        given_back.append(changing.feed(sound[at : at + size]))
        at += size
        assert min(at, len(sound)) - sum(map(len, given_back)) <= changing.late + HOP
    return np.concatenate([*given_back, changing.flush()])


def noise(seconds: float, level: float) -> Samples:
    """White noise of this root mean square, in steps of 16 bits, the same each time."""
    chance = np.random.default_rng(5)
    return np.asarray(chance.normal(0, level, round(seconds * RATE_HZ)), np.int16)
