"""What can be said about a sound file before anybody listens to it."""

from dataclasses import dataclass
from pathlib import Path

import numpy as np

from voicelog.audio.base import RATE_HZ, Samples
from voicelog.audio.level import FULL_SCALE, SILENCE_DBFS, level_dbfs
from voicelog.audio.sound_file import open_sound, read_frames
from voicelog.errors import AudioError

# Common practice, no source: where speech in a file starts to be hard to recognise.
SILENT_DBFS = -70.0
QUIET_DBFS = -45.0
CLIPPED_SHARE = 1e-4
LOUD_PERCENTILE = 95


@dataclass(frozen=True, slots=True)
class SoundFacts:
    """Length, kind and level of a sound file.

    `loud_dbfs` is the level that the loudest twentieth of the file reaches; `clipped_share` the
    share (0 to 1) of samples at full scale. `breaks_off` is true when the end is missing.
    """

    duration_s: float
    rate_hz: int
    channels: int
    loud_dbfs: float
    clipped_share: float
    breaks_off: bool = False

    @property
    def narrow_band(self) -> bool:
        """Whether it holds less than the 8 kHz of band that the recognisers expect."""
        return self.rate_hz < RATE_HZ

    @property
    def remarks(self) -> tuple[str, ...]:
        """What a person should know about it, one sentence each, without full stop."""
        remarks = []
        if self.loud_dbfs <= SILENT_DBFS:
            remarks.append("There is no sound in it: it is silent from end to end")
        elif self.loud_dbfs <= QUIET_DBFS:
            remarks.append(f"It is very quiet ({self.loud_dbfs:.0f} dBFS): words may be missed")
        if self.clipped_share >= CLIPPED_SHARE:
            share = f"{100 * self.clipped_share:.2g} %"
            remarks.append(f"It is clipped ({share} of it at full scale): words may be misheard")
        if self.narrow_band:
            remarks.append(f"It is narrow-band ({self.rate_hz} Hz): expect more mishearings")
        if self.breaks_off:
            remarks.append(f"Its end is missing: it breaks off after {self.duration_s:.1f} seconds")
        return tuple(remarks)


def is_clipped(samples: Samples) -> bool:
    """Whether so much of the sound is at full scale that words may be misheard."""
    return bool(np.mean(np.abs(samples.astype(int)) >= FULL_SCALE - 2) > CLIPPED_SHARE)


def describe(path: Path) -> SoundFacts:
    """Read the file once, piece by piece, and measure it. Raises AudioError when it cannot be."""
    with open_sound(path) as file:
        levels: list[float] = []
        frames_read = clipped = 0
        breaks_off = False
        try:
            for frames in read_frames(file, path):
                frames_read += len(frames)
                clipped += int(np.count_nonzero(np.abs(frames) >= 1 - 2 / FULL_SCALE))
                within = np.clip(frames.ravel(), -1, 1)
                levels.append(level_dbfs((within * (FULL_SCALE - 1)).astype(np.int16)))
        except AudioError:
            breaks_off = True
        loud_dbfs = float(np.percentile(levels, LOUD_PERCENTILE)) if levels else SILENCE_DBFS
        share = clipped / (frames_read * file.channels) if frames_read else 0.0
        duration_s = frames_read / file.samplerate
        return SoundFacts(duration_s, file.samplerate, file.channels, loud_dbfs, share, breaks_off)
