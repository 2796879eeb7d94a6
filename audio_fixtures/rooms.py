"""What a room and a microphone do to speech: echo, other people talking, a narrow band."""

from pathlib import Path

import numpy as np
import soundfile
import soxr
from numpy.typing import NDArray

from audio_fixtures.manifest import RATE_HZ
from audio_fixtures.sound import SPEECH_DBFS, gain, speech_dbfs

Sound = NDArray[np.float32]
TALKERS = 8


def echo(speech: Sound, rt60_s: float, direct_db: float, seed: int) -> Sound:
    """The speech as it arrives in a room whose sound decays by 60 dB in `rt60_s` seconds.

    The tail is noise that decays exponentially (Polack 1988, as restated in textbooks of room
    acoustics; from memory), from 5 ms after the direct sound on; `direct_db` is the level of the
    direct sound over the whole tail: above 0 near the microphone, below 0 far from it. The level of
    the speech stays.
    """
    count = round(rt60_s * RATE_HZ)
    seconds = np.arange(count) / RATE_HZ
    tail = np.random.default_rng(seed).standard_normal(count) * 10 ** (-3 * seconds / rt60_s)
    tail[: RATE_HZ // 200] = 0
    tail *= gain(-direct_db) / np.sqrt((tail**2).sum())
    tail[0] = 1.0
    size = len(speech) + count - 1
    spectrum = np.fft.rfft(speech, size) * np.fft.rfft(tail, size)
    heard = np.fft.irfft(spectrum, size).astype(np.float32)
    return heard * np.float32(gain(speech_dbfs(speech) - speech_dbfs(heard)))


def through_microphone(sound: Sound, rate_hz: int) -> Sound:
    """The sound as it comes from a microphone of so many samples a second."""
    if rate_hz >= RATE_HZ:
        return sound
    fewer = soxr.resample(sound, RATE_HZ, rate_hz)
    return np.resize(np.asarray(soxr.resample(fewer, rate_hz, RATE_HZ), np.float32), len(sound))


def babble(files: list[Path], seconds: float, seed: int) -> Sound:
    """Many people talking at once, from recordings; see `babble_of`."""
    return babble_of([_read(path) for path in files], seconds, seed)


def babble_of(recordings: list[Sound], seconds: float, seed: int) -> Sound:
    """Many people talking at once: `TALKERS` streams of all the recordings in an order of their
    own, each at the level of speech before they are added; so is the sum."""
    chance = np.random.default_rng(seed)
    levelled = [r * np.float32(gain(SPEECH_DBFS - speech_dbfs(r))) for r in recordings]
    total = np.zeros(round(seconds * RATE_HZ))
    for _ in range(TALKERS):
        stream = np.concatenate([levelled[n] for n in chance.permutation(len(levelled))])
        total += np.resize(np.roll(stream, -int(chance.integers(len(stream)))), len(total))
    total *= gain(SPEECH_DBFS) / np.sqrt((total**2).mean())
    return total.astype(np.float32)


def _read(path: Path) -> Sound:
    samples, rate_hz = soundfile.read(path, dtype="float32", always_2d=True)
    return np.asarray(soxr.resample(samples.mean(axis=1), rate_hz, RATE_HZ), dtype=np.float32)
