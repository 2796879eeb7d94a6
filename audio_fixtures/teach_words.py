"""Teaches the network of `voicelog/recognisers/whole_words.py` and writes its weights beside it.

    pip install torch
    python -m audio_fixtures.teach_words [--seed N] [--rounds N] [--without VOICE,...]

Run it from the top of a working copy, with the voices of `manifest.toml` and what
`natural_voices.py` asks for installed. On one core the lessons take an hour and a half, a third of
it for the natural voices, and each round a minute. `--without` leaves voices of `tune` out, so that
what the network makes of them can be measured; its weights then go into the working folder. The
weights that are kept learnt from 16 970 such lessons, made in several lots: this makes like ones,
not the same.
"""

import argparse
import math
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Any

import numpy as np
import torch
from torch import Tensor, nn

from audio_fixtures.word_lessons import Lesson, known, lessons, sentences
from tests.benchmarks.sounding import shared_speech
from tests.benchmarks.utterances import house
from voicelog.recognisers import whole_words
from voicelog.recognisers.speech_embedding import SIZE, Floats
from voicelog.recognisers.whole_words import OTHER
from voicelog.recognisers.word_paths import NONE

UNITS = 256
ROUNDS, BATCH, RATE, DECAY = 27, 64, 2e-3, 1e-2
DROPPED_IN, DROPPED = 0.1, 0.2
NOISE = 0.1
STEEPEST = 5.0
"""Gradients are cut to this length."""
Batch = tuple[Tensor, Tensor, Tensor, Tensor]
"""Rows, how many of each lesson count, the places of all words, and how many are of each lesson."""


class Student(nn.Module):  # type: ignore[misc]  # types are checked without torch
    """The network, as `whole_words.Network` computes it, on rows of mean 0 and deviation 1."""

    def __init__(self, words: int) -> None:
        super().__init__()
        self.first = nn.Conv1d(SIZE, UNITS, 3, padding=1)
        self.second = nn.Conv1d(UNITS, UNITS, 3, padding=1)
        self.out = nn.Conv1d(UNITS, words, 1)
        self.drop_in, self.drop = nn.Dropout(DROPPED_IN), nn.Dropout(DROPPED)

    def forward(self, rows: Tensor) -> Tensor:
        """Log-probabilities, (lessons, rows, words) of (lessons, rows, SIZE)."""
        first = self.drop(torch.relu(self.first(self.drop_in(rows).transpose(1, 2))))
        second = self.drop(first + torch.relu(self.second(first)))
        return self.out(second).transpose(1, 2).log_softmax(2)


def teach(
    made: Sequence[Lesson], words: Sequence[str], rounds: int, seed: int
) -> dict[str, Floats]:
    """The weights that a student learns from these lessons; `words` are those of its rows."""
    torch.manual_seed(seed)
    chance = np.random.default_rng(seed)
    some = np.concatenate([made[n].heard for n in chance.permutation(len(made))[:2000]])
    mean, deviation = some.mean(axis=0), some.std(axis=0)
    student = Student(len(words))
    optimiser = torch.optim.AdamW(student.parameters(), RATE, weight_decay=DECAY)
    losing = nn.CTCLoss(blank=NONE, zero_infinity=True)
    steps, step = rounds * math.ceil(len(made) / BATCH), 0
    for done in range(rounds):
        for rows, lengths, wanted, counts in _batches(made, words, chance):
            for group in optimiser.param_groups:
                group["lr"] = RATE * _share(step / steps)
            level = (rows - torch.tensor(mean)) / torch.tensor(deviation)
            heard = student(level + NOISE * torch.randn_like(level))
            off = losing(heard.transpose(0, 1), wanted, lengths, counts)
            optimiser.zero_grad()
            off.backward()
            nn.utils.clip_grad_norm_(student.parameters(), STEEPEST)
            optimiser.step()
            step += 1
        print(f"round {done + 1}: {float(off.detach()):.2f}", flush=True)
    return weights(student, mean, deviation)


def _share(done: float) -> float:
    """Of the rate: it rises at first, and falls along a cosine."""
    return min(1.0, 30 * done + 0.1) * (0.5 * (1 + math.cos(math.pi * done)) + 0.01)


def _batches(
    made: Sequence[Lesson], words: Sequence[str], chance: np.random.Generator
) -> Iterator[Batch]:
    """All lessons once, those of about the same length together."""
    places = {word: place for place, word in enumerate(words)}
    order = np.argsort([len(one.heard) + chance.uniform(0, 6) for one in made])
    for first in chance.permutation(range(0, len(made), BATCH)):
        batch = [made[n] for n in order[first : first + BATCH]]
        rows = np.zeros((len(batch), max(len(one.heard) for one in batch), SIZE), np.float32)
        for at, one in zip(rows, batch, strict=True):
            at[: len(one.heard)] = one.heard
        wanted = [places[word] for one in batch for word in one.words]
        lengths = torch.tensor([len(one.heard) for one in batch])
        counts = torch.tensor([len(one.words) for one in batch])
        yield torch.tensor(rows), lengths, torch.tensor(wanted), counts


def weights(student: Student, mean: Floats, deviation: Floats) -> dict[str, Floats]:
    """As `whole_words` reads them."""
    found = {"mean": mean, "deviation": deviation}
    for name in ("first", "second", "out"):
        layer = getattr(student, name)
        kernel = layer.weight.detach().numpy().transpose(2, 1, 0)
        found[f"{name}.weight"] = kernel.reshape(-1, kernel.shape[2])
        found[f"{name}.bias"] = layer.bias.detach().numpy()
    return found


def main() -> None:
    """Make the lessons, teach, write the weights."""
    parser = argparse.ArgumentParser(description="Teaches the network that hears whole words.")
    parser.add_argument("--seed", type=int, default=1000)
    parser.add_argument("--rounds", type=int, default=ROUNDS)
    parser.add_argument("--without", default="")
    asked = parser.parse_args()
    phrases = house().phrases
    words = ("", *sorted(known(phrases)), OTHER)
    spoken = list(sentences(phrases, house().plausible, shared_speech(), asked.seed))
    left_out = asked.without.split(",")
    made = [one for one in lessons(spoken, asked.seed) if one.who not in left_out]
    print(f"{len(spoken)} sentences, {len(made)} lessons", flush=True)
    taught = teach(made, words, asked.rounds, asked.seed)
    path = Path(whole_words.__file__).with_suffix(".npz")
    path = Path(path.name) if asked.without else path
    halves: dict[str, Any] = {n: value.astype(np.float16) for n, value in taught.items()}
    np.savez_compressed(path, words=np.array(words), **halves)
    print(f"Written to {path}", flush=True)


if __name__ == "__main__":
    main()
