"""Who speaks in benchmarks, and their sound, made once and kept in the user's cache.

Voices and seeds come in two parts that share nothing: `tune` is for setting bars and weights,
`test` for the figures that are reported.
"""

import hashlib
import os
from pathlib import Path
from typing import Literal

import numpy as np
import platformdirs
import soundfile

from audio_fixtures.manifest import RATE_HZ, Voice, load_manifest
from audio_fixtures.sound import prepared
from audio_fixtures.voices import Samples, VoiceMissing, check, speak

Split = Literal["tune", "test"]
SEEDS: dict[Split, int] = {"tune": 101, "test": 202}
_OTHERS = {
    "awb": ("rms", "awb"),
    "kal16": ("rms", "kal16"),
    "ked": ("hts", "ked_diphone"),
    "kald": ("hts", "kal_diphone"),
    "esm": ("esp", "en-us+m3"),
}
"""Voices of the same programs that no figure is reported for: whose settings they share, and the
program's name for them."""
_TEST = ("slt", "rms", "hts", "joe", "heart", "esp")


def cast(split: Split) -> list[Voice]:
    """The voices of a part that are installed here, each with its name."""
    made = {voice.name: voice for voice in load_manifest().voice}
    if split == "test":
        wanted = [made[name] for name in _TEST]
    else:
        wanted = [
            made[like].model_copy(update={"name": name, "voice": voice})
            for name, (like, voice) in _OTHERS.items()
        ]
    return [voice for voice in wanted if _is_there(voice)]


def said(voice: Voice, text: str) -> Samples:
    """The sentence at the usual level, 16 kHz, with soft edges and no silence around."""
    samples, _ = soundfile.read(_made(voice, text), dtype="float32")
    return np.asarray(samples, dtype=np.float32)


def _made(voice: Voice, text: str) -> Path:
    key = "\n".join((voice.program, voice.voice, voice.version, str(voice.respell), text))
    name = hashlib.sha256(key.encode()).hexdigest()[:24]
    file = platformdirs.user_cache_path("voicelog") / "spoken" / voice.name / f"{name}.flac"
    if not file.exists():
        file.parent.mkdir(parents=True, exist_ok=True)
        part = file.with_suffix(f".{os.getpid()}.part")  # several processes may make the same
        soundfile.write(part, prepared(speak(voice, text)), RATE_HZ, format="FLAC")
        part.replace(file)
    return file


def _is_there(voice: Voice) -> bool:
    try:
        check(voice)
    except VoiceMissing:
        return False
    return True
