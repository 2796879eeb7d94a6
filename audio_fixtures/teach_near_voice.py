"""Teaches the network of `voicelog/audio/near_voice.py` and writes its weights beside it.

    pip install torch
    python -m audio_fixtures.teach_near_voice [--lessons N] [--minutes N] [--seed N] [--go-on]

Run it from the top of a working copy with the voices of `manifest.toml` installed. It stops by the
clock, so the weights are never quite the same twice; the benchmarks tell whether they are as good.
"""

import argparse
import time
from pathlib import Path

import numpy as np
import torch
from torch import Tensor, nn

from audio_fixtures.lessons import lessons, recordings, sentences
from tests.benchmarks.sounding import shared_speech
from tests.benchmarks.utterances import house
from voicelog.audio import near_voice
from voicelog.audio.near_voice import BANDS, FFT, HOP, LOOK, MOST_DB, WINDOW, Floats, levels_db

SIZE = 128
"""Units in a layer."""
FIRST_RATE = 2e-3
BATCH, STRETCH = 24, 400
"""So many lessons at once, and a stretch of so many windows of each."""
KEPT_BACK = 64
"""Lessons that it is only tried on."""
FLOOR_DB = 42.0
"""What lies so far below the loudest of a lesson is as good as silence."""
LEFT_OVER = 0.5
"""How much more a band counts in which too much is left than one in which too little is. With as
much the other way round, babble 20 dB below was hardly turned down: of 40 dictations 24 were right,
and 2 with babble 10 dB below."""


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


def loss(student: Student, heard: Tensor, near: Tensor) -> Tensor:
    """How far the levels of the bands are from those of the near voice, in dB."""
    found = student(heard)[:, LOOK:]
    heard, near = heard[:, :-LOOK], near[:, :-LOOK]
    floor = heard.amax(dim=(1, 2), keepdim=True) - FLOOR_DB
    off = torch.maximum(heard + found, floor - 3) - torch.maximum(near, floor)
    return (off.abs() + LEFT_OVER * torch.relu(off)).mean()


def levels(sound: Floats) -> Floats:
    """The levels of the bands of a whole sound, in dB."""
    count = (len(sound) - WINDOW) // HOP + 1
    places = np.arange(WINDOW) + HOP * np.arange(count)[:, None]
    spectra = np.fft.rfft(sound[places] * near_voice.window(), FFT, axis=1)
    return levels_db(spectra.astype(np.complex64))


def material(count: int, seed: int) -> tuple[Tensor, Tensor]:
    """The lessons, as levels of bands."""
    folder = shared_speech()
    people = recordings(folder) if folder is not None else []
    voices = sentences(house().language, house().plausible, 9000)
    pairs = [(levels(h), levels(n)) for h, n in lessons(voices, people, count, seed)]
    heard, near = zip(*pairs, strict=True)
    return torch.tensor(np.array(heard)), torch.tensor(np.array(near))


def teach(student: Student, heard: Tensor, near: Tensor, minutes: float) -> None:
    """Go on until the time is over, ever more slowly."""
    optimiser = torch.optim.Adam(student.parameters(), FIRST_RATE)
    started, rounds, last = time.monotonic(), 0, len(heard) - KEPT_BACK
    while (done := (time.monotonic() - started) / (60 * minutes)) < 1:
        chosen = torch.randint(0, last, (BATCH,))
        first = int(torch.randint(0, heard.shape[1] - STRETCH, (1,)))
        louder = 4 * torch.randn(BATCH, 1, 1)
        part = slice(first, first + STRETCH)
        for group in optimiser.param_groups:
            group["lr"] = FIRST_RATE * max(0.02, 1 - done)
        found = loss(student, heard[chosen, part] + louder, near[chosen, part] + louder)
        optimiser.zero_grad()
        found.backward()
        nn.utils.clip_grad_norm_(student.parameters(), 1.0)
        optimiser.step()
        rounds += 1
        if rounds % 100 == 0:
            with torch.no_grad():
                tried = loss(student, heard[last:], near[last:]).item()
            print(f"{rounds} rounds, {tried:.2f} dB off on lessons that were kept back", flush=True)


def main() -> None:
    """Make the lessons, teach, write the weights."""
    parser = argparse.ArgumentParser(description="Teaches the network that keeps the near voice.")
    parser.add_argument("--lessons", type=int, default=3200)
    parser.add_argument("--minutes", type=float, default=30)
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
    teach(student, *material(asked.lessons, asked.seed), asked.minutes)
    taught = {name: value.numpy() for name, value in student.state_dict().items()}
    np.savez(file, **{name: value.astype(np.float16) for name, value in taught.items()})
    print(f"Written to {file}")


if __name__ == "__main__":
    main()
