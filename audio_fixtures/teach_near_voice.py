"""Teaches the network of `voicelog/audio/near_voice.py` and writes its weights beside it.

    pip install torch
    python -m audio_fixtures.teach_near_voice [--lessons N] [--minutes N] [--seed N] [--go-on]

Run it from the top of a working copy with the voices of `manifest.toml` installed. It stops by the
clock, so the weights are never quite the same twice; the benchmarks tell whether they are as good.
"""

import argparse
import time
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import torch
from torch import Tensor, nn

from audio_fixtures.engine_ear import Ear
from audio_fixtures.lessons import lessons, recordings, sentences
from audio_fixtures.near_voice_teacher import EACH, Teacher
from tests.benchmarks.sounding import shared_speech
from tests.benchmarks.utterances import house
from voicelog.audio import near_voice
from voicelog.audio.bands import BANDS, HOP, WINDOW
from voicelog.audio.near_voice import MOST_DB
from voicelog.recognisers.acoustic_model import load_acoustic_model
from voicelog.recognisers.aligning import MODEL_FOLDER

SIZE = 192
"""Units in a layer."""
FIRST_RATE = 2e-3
BATCH, STRETCH = 24, 300
"""So many lessons at once, and a stretch of so many windows of each."""
KEPT_BACK = 48
"""Lessons that it is only tried on."""
OTHER_ROOM = 0.5
"""The share of lessons in which the room of another lies behind the voice."""


class Student(nn.Module):  # type: ignore[misc]  # types are checked without torch
    """The network, as `near_voice.Network` computes it."""

    def __init__(self) -> None:
        super().__init__()
        self.into = nn.Linear(2 * BANDS, SIZE)
        self.units = nn.GRU(SIZE, SIZE, 2, batch_first=True)
        self.out = nn.Linear(SIZE, BANDS)

    def forward(self, levels: Tensor) -> Tensor:
        """Gains in dB, late; (lessons, windows, BANDS) of the same."""
        change = torch.diff(levels, dim=1, prepend=levels[:, :1])
        found = torch.tanh(self.into(torch.cat([(levels + 45) / 20, change / 10], -1)))
        found, _ = self.units(found)
        return -MOST_DB * torch.sigmoid(-self.out(found))


@dataclass(frozen=True, slots=True)
class Material:
    """Lessons, (lessons, samples): what is heard, and the near voice in it."""

    heard: Tensor
    near: Tensor

    def stretch(self, chosen: Tensor, first: int) -> tuple[Tensor, Tensor]:
        """A stretch of some lessons, from a window on."""
        part = slice(first * HOP, (first + STRETCH) * HOP + WINDOW)
        return self.heard[chosen, part].float(), self.near[chosen, part].float()


def material(count: int, seed: int) -> Material:
    """The lessons."""
    folder = shared_speech()
    people = recordings(folder) if folder is not None else []
    voices = sentences(house().language, house().plausible, 9000 + seed)
    pairs = [np.array(pair, np.float16) for pair in lessons(voices, people, count, seed)]
    heard, near = torch.tensor(np.array(pairs)).unbind(1)
    return Material(heard, near)


def varied(heard: Tensor, near: Tensor) -> tuple[Tensor, Tensor]:
    """Some with the room of another, all a little louder or softer."""
    count = (len(heard), 1)
    other = torch.roll(heard - near, 1, 0) * 10 ** (4 * torch.randn(count) / 20)
    heard = torch.where(torch.rand(count) < OTHER_ROOM, near + other, heard)
    louder = 10 ** (4 * torch.randn(count) / 20)
    return heard * louder, near * louder


def teach(student: Student, taught: Material, minutes: float) -> None:
    """Go on until the time is over, ever more slowly."""
    optimiser = torch.optim.Adam(student.parameters(), FIRST_RATE)
    teacher = Teacher(Ear(load_acoustic_model(MODEL_FOLDER)))
    windows = (taught.heard.shape[1] - WINDOW) // HOP
    last = len(taught.heard) - KEPT_BACK
    started, rounds = time.monotonic(), 0
    while (done := (time.monotonic() - started) / (60 * minutes)) < 1:
        chosen = torch.randint(0, last, (BATCH,))
        stretch = taught.stretch(chosen, int(torch.randint(0, windows - STRETCH, (1,))))
        for group in optimiser.param_groups:
            group["lr"] = FIRST_RATE * max(0.02, 1 - done)
        off = teacher.off(student, *varied(*stretch), int(torch.randint(0, EACH, (1,))))
        optimiser.zero_grad()
        off.loss.backward()
        nn.utils.clip_grad_norm_(student.parameters(), 1.0)
        optimiser.step()
        rounds += 1
        if rounds % 100 == 0:
            with torch.no_grad():
                kept_back = torch.arange(last, len(taught.heard))
                tried = teacher.off(student, *taught.stretch(kept_back, 100), 0)
            print(
                f"{rounds} rounds; on lessons that were kept back {tried.level:.2f} dB off, "
                f"{tried.speech:.3f} nats in speech, {tried.pauses:.3f} in pauses",
                flush=True,
            )


def main() -> None:
    """Make the lessons, teach, write the weights."""
    parser = argparse.ArgumentParser(description="Teaches the network that keeps the near voice.")
    parser.add_argument("--lessons", type=int, default=4000)
    parser.add_argument("--minutes", type=float, default=90)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--go-on", action="store_true", help="from the weights that are there")
    asked = parser.parse_args()
    torch.manual_seed(asked.seed)
    student = Student()
    file = Path(near_voice.__file__).with_suffix(".npz")
    if asked.go_on:
        with np.load(file) as kept:
            weights = {name: torch.tensor(kept[name].astype(np.float32)) for name in kept.files}
        student.load_state_dict(weights)
    teach(student, material(asked.lessons, asked.seed), asked.minutes)
    learnt = {name: value.numpy() for name, value in student.state_dict().items()}
    np.savez(file, **{name: value.astype(np.float16) for name, value in learnt.items()})
    print(f"Written to {file}")


if __name__ == "__main__":
    main()
