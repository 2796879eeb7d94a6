"""What the benchmarks of hearing share: rooms, open recordings, and shares with their interval."""

import os
from functools import cache
from pathlib import Path

import numpy as np
from statsmodels.stats.proportion import proportion_confint

from audio_fixtures.casting import cast, said
from audio_fixtures.clinician import NEAR_DB, Room
from audio_fixtures.manifest import load_manifest
from audio_fixtures.rooms import Sound, babble, babble_of, echo
from audio_fixtures.sound import gain, room
from voicelog.audio.base import RATE_HZ, Samples

ROOT = Path(__file__).parents[2]
CONDITIONS = {
    "clean": (None, 0.0),
    "echo and babble 20 dB": (20.0, 0.4),
    "babble 10 dB": (10.0, 0.0),
}
"""How far the babble lies below speech, in decibels, and the time of the echo, in seconds."""
QUIET_DBFS = -70.0
NOISE_S = 60.0
LEAD_S, TAIL_S = 6.0, 1.0
"""So much of the room comes before and behind speech, in seconds."""


def background(condition: str, seed: int) -> Room:
    """The room of a condition."""
    below_db, rt60_s = CONDITIONS[condition]
    quiet = room(NOISE_S, QUIET_DBFS, f"{condition} {seed}")
    if below_db is None:
        return Room(quiet, rt60_s)
    return Room(quiet + _babble(seed) * np.float32(gain(-below_db)), rt60_s)


def placed(speech: Sound, room: Room) -> Samples:
    """Speech in a room, with its echo, and room alone before and behind it."""
    if room.rt60_s:
        speech = echo(speech, room.rt60_s, NEAR_DB, seed=1)
    lead = round(LEAD_S * RATE_HZ)
    sound = np.zeros(lead + len(speech) + round(TAIL_S * RATE_HZ), dtype=np.float32)
    sound[lead : lead + len(speech)] = speech
    start = len(speech) * 7919 % (len(room.noise) - 1)
    sound += np.take(room.noise, range(start, start + len(sound)), mode="wrap")
    return np.clip(np.rint(sound * 32_768), -32_768, 32_767).astype(np.int16)


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
