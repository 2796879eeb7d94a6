"""Teaches the network of `voicelog/recognisers/last_number.py` and writes its weights beside it.

    pip install torch pyopen-wakeword==1.1.0 ai-edge-litert
    python -m audio_fixtures.teach_numbers [--seed N] [--answers FILE]

Run it from the top of a working copy with the voices of `manifest.toml` installed; it takes some
minutes. The network before it, `speech_embedding`, is taken as it is from the package that carries
it. With `--answers` each voice of `tune`, and the people, are also heard by a network that was
taught without them, and the scores are written to a file of JSON, for the curve in
`verification.py`.
"""

import argparse
import json
from collections.abc import Sequence
from importlib.util import find_spec
from pathlib import Path
from typing import Any

import numpy as np
import torch
from ai_edge_litert.interpreter import Interpreter, OpResolverType
from torch import Tensor, nn

from audio_fixtures.casting import cast
from audio_fixtures.number_lessons import OTHER, Lesson, lessons, words
from tests.benchmarks.sounding import shared_speech
from tests.benchmarks.utterances import house
from voicelog.recognisers import last_number, speech_embedding
from voicelog.recognisers.last_number import Network
from voicelog.recognisers.speech_embedding import SIZE, Floats

UNITS = 96
ROUNDS, BATCH, RATE, DECAY = 30, 128, 2e-3, 1e-2
DROPPED = 0.3
SMOOTHED = 0.05
"""No lesson is taken to be surer than this much below 1."""
OTHERS = 0.6
"""So many lessons of other words for each of a number, or nothing would be a number."""
TIMES_PEOPLE = 2
"""How often each number by a person counts, as they are few."""


class Student(nn.Module):  # type: ignore[misc]  # types are checked without torch
    """The network, as `last_number.Network` computes it, on rows of mean 0 and deviation 1."""

    def __init__(self) -> None:
        super().__init__()
        self.into = nn.Conv1d(SIZE, UNITS, 3)
        self.out = nn.Conv1d(UNITS, OTHER + 1, 1)
        self.drop = nn.Dropout(DROPPED)

    def forward(self, rows: Tensor) -> Tensor:
        """Scores, (lessons, OTHER + 1) of (lessons, rows, SIZE)."""
        hidden = torch.relu(self.into(self.drop(rows).transpose(1, 2)))
        heard = self.out(self.drop(hidden))
        numbers = torch.logsumexp(heard[:, :OTHER], 2)
        return torch.cat([numbers, heard[:, OTHER:].mean(2)], 1)


def teach(made: Sequence[Lesson], seed: int) -> dict[str, Floats]:
    """The weights that a student learns from these lessons."""
    torch.manual_seed(seed)
    chance = np.random.default_rng(seed)
    numbers = [one for one in made if one.number != OTHER]
    numbers += [one for one in numbers if one.who.startswith("people")] * (TIMES_PEOPLE - 1)
    others = [one for one in made if one.number == OTHER]
    few = chance.permutation(len(others))[: round(OTHERS * len(numbers))]
    chosen = [*numbers, *(others[place] for place in few)]
    rows = np.stack([one.heard for one in chosen])
    mean, deviation = rows.mean((0, 1)), rows.std((0, 1))
    heard = torch.tensor((rows - mean) / deviation)
    wanted = torch.tensor([one.number for one in chosen])
    student = Student()
    optimiser = torch.optim.AdamW(student.parameters(), RATE, weight_decay=DECAY)
    for _ in range(ROUNDS):
        for some in torch.randperm(len(heard)).split(BATCH):
            off = nn.functional.cross_entropy(
                student(heard[some]), wanted[some], label_smoothing=SMOOTHED
            )
            optimiser.zero_grad()
            off.backward()
            optimiser.step()
    return folded(student, mean, deviation)


def folded(student: Student, mean: Floats, deviation: Floats) -> dict[str, Floats]:
    """As `last_number` reads them: the mean and deviation of the rows are part of the first."""
    kernel = student.into.weight.detach().numpy().transpose(2, 1, 0) / deviation[:, np.newaxis]
    bias = student.into.bias.detach().numpy() - (kernel * mean[:, np.newaxis]).sum((0, 1))
    return {
        "into.weight": kernel.reshape(-1, UNITS),
        "into.bias": bias,
        "out.weight": student.out.weight.detach().numpy()[:, :, 0].T,
        "out.bias": student.out.bias.detach().numpy(),
    }


def embedding_weights() -> dict[str, Floats]:
    """The weights of `speech_embedding`, out of the package that carries them."""
    package = find_spec("pyopen_wakeword")
    if package is None or package.origin is None:
        raise SystemExit("Install pyopen-wakeword==1.1.0: it carries the network of the speech.")
    models = Path(package.origin).parent / "models"
    plain = OpResolverType.BUILTIN_WITHOUT_DEFAULT_DELEGATES
    bands = Interpreter(str(models / "melspectrogram.tflite"), experimental_op_resolver_type=plain)
    of_bands = {t["name"]: bands.get_tensor(t["index"]) for t in _constants(bands)}
    found = {"bands": of_bands["Const_3"], "window": _hann()}
    network = Interpreter(str(models / "embedding_model.tflite"))
    layers = [op for op in network._get_ops_details() if op["op_name"] == "CONV_2D"]
    for number, layer in enumerate(layers):
        _, kernel, bias = (int(place) for place in layer["inputs"])
        found[f"kernel{number}"] = network.get_tensor(kernel).transpose(1, 2, 3, 0)
        found[f"bias{number}"] = network.get_tensor(bias)
    return found


def _constants(model: Interpreter) -> list[dict[str, object]]:
    model.resize_tensor_input(0, (1, speech_embedding.WINDOW), strict=False)
    model.allocate_tensors()
    return [tensor for tensor in model.get_tensor_details() if tensor["name"] == "Const_3"]


def _hann() -> Floats:
    """A window of 25 ms in the middle of a frame."""
    window = np.zeros(speech_embedding.WINDOW, np.float32)
    window[56:456] = np.hanning(401)[:-1]
    return window


def _write(beside: Path, weights: dict[str, Floats]) -> None:
    path = beside.with_suffix(".npz")
    halves: dict[str, Any] = {name: value.astype(np.float16) for name, value in weights.items()}
    np.savez_compressed(path, **halves)
    print(f"Written to {path}", flush=True)


def heard_by_others(made: Sequence[Lesson], seed: int) -> list[dict[str, object]]:
    """What the voices of `tune` and people are taken for by a network that never heard them."""
    found: list[dict[str, object]] = []
    others = {voice.name for voice in cast("tune")}
    for who in dict.fromkeys(one.who for one in made):
        if who not in others and not who.startswith("people"):
            continue
        network = Network(teach([one for one in made if one.who != who], seed))
        for one in made:
            if one.who == who:
                scores = network.scores(one.heard).tolist()
                found.append({"who": who, "number": one.number, "scores": scores})
        print(f"{who}: heard", flush=True)
    return found


def main() -> None:
    """Make the lessons, teach, write the weights."""
    parser = argparse.ArgumentParser(description="Teaches the network that hears numbers.")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--answers", type=Path)
    asked = parser.parse_args()
    _write(Path(speech_embedding.__file__), embedding_weights())
    spoken = words(house().language, shared_speech(), asked.seed)
    made = list(lessons(spoken, asked.seed))
    print(f"{len(spoken)} words, {len(made)} lessons", flush=True)
    _write(Path(last_number.__file__), teach(made, asked.seed))
    if asked.answers is not None:
        asked.answers.write_text(json.dumps(heard_by_others(made, asked.seed)), encoding="utf-8")


if __name__ == "__main__":
    main()
