"""A network that writes down what it hears, piece of word by piece of word.

It is the smallest English one of Jeffries and others 2024 ("Moonshine: Speech Recognition for Live
Transcription and Voice Commands", arXiv 2410.15608; from memory), a transformer of 27 million
numbers that has heard very much speech of people in all kinds of rooms, licence MIT. The package
moonshine-voice carries its weights; nothing else of that package is used or loaded. ONNX Runtime
computes it.
"""

import os
from collections.abc import Sequence
from functools import cached_property
from importlib.metadata import version
from importlib.util import find_spec
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from voicelog.audio.base import RATE_HZ, Samples

Floats = NDArray[np.float32]
START, END = 1, 2
"""The pieces that stand before and behind every text."""
LEAST = RATE_HZ // 10
"""Shorter sound is not to be heard: of less than 60 ms the network makes no row."""
_ROWS_A_SECOND = RATE_HZ / 384
_PIECES_A_SECOND, _PIECES_MORE = 7, 8
PACKAGE = "moonshine_voice"
_FULL_SCALE = 32_768
_HEADS, _WIDTH = 8, 36
_OWN, _HEARD = ".decoder.", ".encoder."
"""Kept from step to step: what was made of the pieces so far, and of the sound."""


def weights_folder() -> Path | None:
    """Where its weights lie; None where the package is not installed or carries none."""
    found = find_spec(PACKAGE)
    for place in (found.submodule_search_locations or ()) if found is not None else ():
        folder = Path(place) / "assets" / "tiny-en"
        if (folder / "encoder_model.ort").is_file():
            return folder
    return None


def transcriber_name() -> str:
    """The network, with the version of the package that carries it."""
    return f"tiny-en {version(PACKAGE)}"


def most_pieces(heard: Floats) -> int:
    """How many pieces the text of what was heard has at most, seven for each second and a few more:
    where nobody speaks the network may write the same word for ever."""
    return _PIECES_MORE + round(_PIECES_A_SECOND * len(heard[0]) / _ROWS_A_SECOND)


class Transcriber:
    """The two halves of the network: one hears, the other writes. `threads`: how many it may use.

    Both are loaded when they are first needed.
    """

    def __init__(self, folder: Path, threads: int = 1) -> None:
        self._folder, self._threads = folder, threads

    def open(self) -> None:
        """Load both now. Raises errors of ONNX Runtime, or ImportError without it."""
        _ = self._hears, self._writes

    def heard(self, samples: Samples) -> Floats:
        """(1, rows, figures) of a sound of 16 kHz, 24 ms a row. Raises an error of ONNX Runtime for
        one of less than 60 ms."""
        sound = samples.astype(np.float32)[np.newaxis] / _FULL_SCALE
        given = {"input_values": sound, "attention_mask": np.ones(sound.shape, np.int64)}
        return np.asarray(self._hears.run(None, given)[0], np.float32)

    def writing(self, heard: Floats, at_once: int) -> "Writing":
        """A text that begins: of what was heard, with up to so many ways to go on `at_once`."""
        return Writing(self._writes, heard, at_once)

    @cached_property
    def _hears(self) -> Any:
        return self._session("encoder_model.ort")

    @cached_property
    def _writes(self) -> Any:
        return self._session("decoder_model_merged.ort")

    def _session(self, name: str) -> Any:
        onnxruntime = _silent_runtime()
        options = onnxruntime.SessionOptions()
        options.intra_op_num_threads = self._threads
        options.inter_op_num_threads = 1
        options.log_severity_level = 3
        options.enable_cpu_mem_arena = False  # 7 MB less, and no slower
        options.add_session_config_entry("session.intra_op.allow_spinning", "0")
        file = str(self._folder / name)
        return onnxruntime.InferenceSession(file, options, providers=["CPUExecutionProvider"])


def _silent_runtime() -> Any:
    """ONNX Runtime, told to report to nobody: its makers' versions from 1.29 on would else keep a
    number for this machine and send how they are used, and all of them tell Windows."""
    os.environ["ORT_DISABLE_TELEMETRY"] = "1"  # it looks once, when it is loaded
    import onnxruntime  # takes a fifth of a second, and only an utterance needs it

    onnxruntime.disable_telemetry_events()
    return onnxruntime


class Writing:
    """Texts that are written side by side, all of the same sound."""

    def __init__(self, network: Any, heard: Floats, at_once: int) -> None:
        self._network = network
        self._heard = np.repeat(heard, at_once, axis=0)
        kept = [one.name for one in network.get_inputs() if one.name.startswith("past")]
        self._own = [name for name in kept if _OWN in name]
        self._of_sound = [name for name in kept if _HEARD in name]
        none = np.zeros((1, _HEADS, 0, _WIDTH), np.float32)
        self._kept: dict[str, Floats] = dict.fromkeys(self._own, none)
        self._sound: dict[str, Floats] = dict.fromkeys(self._of_sound, none)
        self._begun = False

    def go_on(self, pieces: Sequence[int], of: Sequence[int]) -> Floats:
        """(texts, pieces of the language): the logarithm of how probable each next piece is, after
        each text takes one more of `pieces`. `of`: which text of the last call each goes on from;
        the first call begins one text, with `START`."""
        count = len(pieces)
        # One row of the mask stands for 384 samples; one alone holds for sound of any length.
        given: dict[str, Any] = {
            "encoder_attention_mask": np.ones((count, 1), np.int64),
            "encoder_hidden_states": self._heard[:count],
            "input_ids": np.array(pieces, np.int64)[:, np.newaxis],
            "use_cache_branch": np.array([self._begun]),
        }
        given |= {
            name: kept[list(of)] if self._begun else kept for name, kept in self._kept.items()
        }
        given |= {name: kept[:count] for name, kept in self._sound.items()}
        wanted = self._own if self._begun else [*self._own, *self._of_sound]
        names = [name.replace("past_key_values", "present") for name in wanted]
        scores, *found = self._network.run(["logits", *names], given)
        made = dict(zip(wanted, found, strict=True))
        if not self._begun:
            at_once = len(self._heard)
            self._sound = {n: np.repeat(made[n], at_once, axis=0) for n in self._of_sound}
        self._kept = {name: made[name] for name in self._own}
        self._begun = True
        return _log_shares(scores[:, -1])


def _log_shares(scores: Floats) -> Floats:
    level = scores - scores.max(axis=1, keepdims=True)
    return np.asarray(level - np.log(np.exp(level).sum(axis=1, keepdims=True)), np.float32)
