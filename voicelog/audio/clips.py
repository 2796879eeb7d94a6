"""The sound of one dictation as bytes, small and without loss (FLAC, RFC 9639)."""

import io

import numpy as np
import soundfile

from voicelog.audio.base import RATE_HZ, Samples
from voicelog.errors import AudioError


def to_flac(samples: Samples) -> bytes:
    """Compress. Raises AudioError when there is no sound to compress."""
    if not len(samples):
        raise AudioError("There is no sound to keep", do="Say it again")
    buffer = io.BytesIO()
    soundfile.write(buffer, samples, RATE_HZ, format="FLAC", subtype="PCM_16")
    return buffer.getvalue()


def from_flac(clip: bytes) -> Samples:
    """Give back exactly what to_flac was given. Raises AudioError when the clip is damaged."""
    do = "Restore it from a backup; the written record is not touched by this"
    try:
        samples, rate_hz = soundfile.read(io.BytesIO(clip), dtype="int16")
    except (soundfile.SoundFileError, MemoryError, ValueError) as error:
        # A damaged header may claim more sound than any memory holds.
        raise AudioError("This sound clip is damaged and cannot be heard", do=do) from error
    if rate_hz != RATE_HZ or samples.ndim != 1:
        raise AudioError("This sound clip was not made by voicelog", do=do)
    return np.asarray(samples, np.int16)
