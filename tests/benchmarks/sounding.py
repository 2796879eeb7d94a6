"""What the benchmarks of hearing share: rooms, open recordings, and shares with their interval."""

import os
from functools import cache
from pathlib import Path
from typing import NamedTuple

import numpy as np
from statsmodels.stats.proportion import proportion_confint

from audio_fixtures.casting import cast, said
from audio_fixtures.clinician import NEAR_DB, Room
from audio_fixtures.manifest import load_manifest
from audio_fixtures.rooms import Sound, babble, babble_of, echo, through_microphone
from audio_fixtures.sound import gain, room
from voicelog.audio.base import RATE_HZ, Samples

ROOT = Path(__file__).parents[2]


class Condition(NamedTuple):
    """How far babble lies below speech and the voice above its echo, in decibels; the time of the
    echo, in seconds; how many samples a second the microphone takes."""

    below_db: float | None = None
    rt60_s: float = 0.0
    over_echo_db: float = NEAR_DB
    rate_hz: int = RATE_HZ


CONDITIONS = {
    "clean": Condition(),
    "echo and babble 20 dB": Condition(20.0, 0.4),
    "babble 10 dB": Condition(10.0),
    "two metres away": Condition(rt60_s=0.5, over_echo_db=0.0),
    "clean, 8 kHz": Condition(rate_hz=8000),
    "echo and babble 20 dB, 8 kHz": Condition(20.0, 0.4, rate_hz=8000),
}
QUIET_DBFS = -70.0
NOISE_S = 60.0
LEAD_S, TAIL_S = 6.0, 1.0
"""So much of the room comes before and behind speech, in seconds."""


def background(condition: str, seed: int) -> Room:
    """The room of a condition."""
    below_db, rt60_s, over_echo_db, rate_hz = CONDITIONS[condition]
    noise = room(NOISE_S, QUIET_DBFS, f"{condition} {seed}")
    if below_db is not None:
        noise = noise + _babble(seed) * np.float32(gain(-below_db))
    return Room(through_microphone(noise, rate_hz), rt60_s, over_echo_db, rate_hz)


def placed(speech: Sound, room: Room) -> Samples:
    """Speech in a room, with its echo, and room alone before and behind it."""
    if room.rt60_s:
        speech = echo(speech, room.rt60_s, room.over_echo_db, seed=1)
    speech = through_microphone(speech, room.rate_hz)
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


def babble_is_of() -> str:
    """Who talks in the babble: that of synthetic voices is harder to keep apart."""
    return "synthetic voices" if shared_speech() is None else "people"


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
