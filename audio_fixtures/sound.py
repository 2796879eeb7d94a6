"""What is done to the sound of a voice before it becomes a file: rate, edges, level, room."""

import zlib
from pathlib import Path

import numpy as np
import soundfile
import soxr

from audio_fixtures.manifest import RATE_HZ
from audio_fixtures.voices import Samples, Sound

SPEECH_DBFS = -20.0
"""Level of speech: mean power over the parts that are speech."""
PEAK = 0.9
"""No sample goes beyond this; 1 is full scale."""
_BITS = 13
_FRAME = RATE_HZ // 100
_EDGE_S = 0.03
_FADE_S = 0.01


def gain(db: float) -> float:
    """A level difference in decibels as a factor for samples."""
    return float(10 ** (db / 20))


def speech_dbfs(samples: Samples) -> float:
    """Level of the speech in it, dB re full scale: 10 ms frames within 30 dB of the loudest."""
    whole = len(samples) // _FRAME * _FRAME
    power = (samples[:whole].astype(np.float64).reshape(-1, _FRAME) ** 2).mean(axis=1)
    return float(10 * np.log10(power[power > power.max() / 1000].mean()))


def prepared(sound: Sound, dbfs: float = SPEECH_DBFS) -> Samples:
    """Speech alone at 16 kHz: silence cut off, soft edges, the wanted level."""
    samples, rate_hz = sound
    samples = np.asarray(soxr.resample(samples, rate_hz, RATE_HZ, quality="VHQ"), dtype=np.float32)
    loud = np.flatnonzero(np.abs(samples) > np.abs(samples).max() * gain(-45))
    edge = round(_EDGE_S * RATE_HZ)
    samples = samples[max(0, loud[0] - edge) : loud[-1] + 2 * edge].copy()
    fade = np.linspace(0, 1, round(_FADE_S * RATE_HZ), dtype=np.float32)
    samples[: len(fade)] *= fade
    samples[-len(fade) :] *= fade[::-1]
    samples *= np.float32(gain(dbfs - speech_dbfs(samples)))
    return samples * np.float32(min(1.0, PEAK / np.abs(samples).max()))


def room(seconds: float, dbfs: float, name: str) -> Samples:
    """Quiet noise of a room, falling 6 dB an octave above 60 Hz; the same for the same name."""
    count = round(seconds * RATE_HZ)
    white = np.random.default_rng(zlib.crc32(name.encode())).standard_normal(count)
    spectrum = np.fft.rfft(white) / np.hypot(60.0, np.fft.rfftfreq(count, 1 / RATE_HZ))
    noise = np.fft.irfft(spectrum, count)
    return np.asarray(noise / noise.std() * gain(dbfs), dtype=np.float32)


def write(path: Path, samples: Samples) -> None:
    """A FLAC file of 16 bits a sample, the lowest three of them zero: their -83 dB of rounding lie
    below the quiet of the room, and FLAC leaves them out, which saves a third of the size."""
    path.parent.mkdir(exist_ok=True)
    steps = np.round(samples * 2 ** (_BITS - 1)).astype(np.int16) << (16 - _BITS)
    soundfile.write(path, steps, RATE_HZ, subtype="PCM_16", format="FLAC", compression_level=1.0)
