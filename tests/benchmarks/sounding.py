"""What the benchmarks of hearing share: rooms, open recordings, and shares with their interval."""

import os
from functools import cache
from pathlib import Path

import numpy as np
from statsmodels.stats.proportion import proportion_confint

from audio_fixtures.casting import cast, said
from audio_fixtures.clinician import Room
from audio_fixtures.manifest import load_manifest
from audio_fixtures.rooms import Sound, babble, babble_of
from audio_fixtures.sound import gain, room

ROOT = Path(__file__).parents[2]
CONDITIONS = {
    "clean": (None, 0.0),
    "echo and babble 20 dB": (20.0, 0.4),
    "babble 10 dB": (10.0, 0.0),
}
"""How far the babble lies below speech, in decibels, and the time of the echo, in seconds."""
QUIET_DBFS = -70.0
NOISE_S = 60.0


def background(condition: str, seed: int) -> Room:
    """The room of a condition."""
    below_db, rt60_s = CONDITIONS[condition]
    quiet = room(NOISE_S, QUIET_DBFS, f"{condition} {seed}")
    if below_db is None:
        return Room(quiet, rt60_s)
    return Room(quiet + _babble(seed) * np.float32(gain(-below_db)), rt60_s)


@cache
def _babble(seed: int) -> Sound:
    folder = shared_speech()
    if folder is not None:
        return babble(sorted((folder / "conversation").glob("*.flac")), NOISE_S, seed)
    texts = [talk.text for talk in load_manifest().talk]
    return babble_of([said(voice, text) for voice in cast("tune") for text in texts], NOISE_S, seed)


def shared_speech() -> Path | None:
    """The folder of open recordings, when it is there."""
    named = os.environ.get("VOICELOG_SHARED")
    folder = (Path(named) if named else ROOT.parent / "shared") / "speech"
    return folder if (folder / "conversation").is_dir() else None


def share(hits: int, total: int) -> str:
    """A share in percent with its 95 % Wilson interval."""
    if not total:
        return "-"
    low, high = proportion_confint(hits, total, method="wilson")
    return f"{100 * hits / total:.1f} ({100 * low:.1f}-{100 * high:.1f})"
