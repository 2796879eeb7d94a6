"""Teaches the network of `voicelog/audio/highs.py` and writes its weights beside it.

    pip install torch
    python -m audio_fixtures.teach_highs [--seed N]

Run it from the top of a working copy with the voices of `manifest.toml` installed; it takes some
minutes. It learns from voices of `tune` and recordings of that part: sentences as they are, and
through a microphone with the band of a telephone.
"""

import argparse
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import soxr
import torch
from scipy import signal
from torch import Tensor, nn

from audio_fixtures.lessons import coloured, recordings, sentences
from audio_fixtures.manifest import RATE_HZ
from audio_fixtures.rooms import Sound
from audio_fixtures.sound import SPEECH_DBFS, gain
from tests.benchmarks.sounding import shared_speech
from tests.benchmarks.utterances import house
from voicelog.audio import highs
from voicelog.audio.bands import Floats, levels_db, middles_hz, spectra_of
from voicelog.audio.highs import GUESSED, HEARD, LOOK, in_context

SIZE = 64
"""Units in each of the two layers between."""
ROUNDS, BATCH, FIRST_RATE = 14, 512, 2e-3
ENDS_HZ = (3400.0, 4000.0)
"""Where the band ends, between these."""
THROATS = (0.85, 1.25)
"""Every sentence is there once more with pitch and formants moved by a factor between these, as the
voices are few."""
TIMES, TIMES_PEOPLE = 2, 10
"""How often each sentence is learnt from, and each of the short and few recordings of people."""
HIGHEST_HZ = 7000.0
"""Above it a throat that was moved down has nothing to learn from."""
KEPT_BACK = 8
"""One sentence of so many it is only tried on."""
_QUIET_S = 0.3


@dataclass(frozen=True, slots=True)
class Lesson:
    """Levels in dB: what is heard, (windows + 2 * LOOK, bands of HEARD), and what lies above it,
    (windows, bands of GUESSED), with which of those bands are to be learnt from."""

    heard: Floats
    highs: Floats
    counts: Floats


def lesson(chance: np.random.Generator, sentence: Sound, throat: float) -> Lesson:
    """A sentence by such a throat, in some room, through some microphone."""
    quiet = np.zeros(round(_QUIET_S * RATE_HZ), np.float32)
    moved = soxr.resample(sentence, RATE_HZ * throat, RATE_HZ)
    sound = np.concatenate([quiet, np.asarray(moved, np.float32), quiet])
    if chance.uniform() < 0.5:
        sound = coloured(chance, sound)
    sound = (sound + _noise(chance, len(sound))) * np.float32(gain(chance.uniform(-22, 8)))
    end = signal.firwin(801, chance.uniform(*ENDS_HZ), fs=RATE_HZ)
    narrow = signal.fftconvolve(sound, end, "same").astype(np.float32)
    heard, wide = levels_db(spectra_of(narrow))[:, HEARD], levels_db(spectra_of(sound))
    counts = (middles_hz()[GUESSED] < HIGHEST_HZ * throat) | (throat >= 1)
    return Lesson(
        np.pad(heard, ((LOOK, LOOK), (0, 0)), mode="edge"),
        wide[:, GUESSED],
        np.broadcast_to(counts.astype(np.float32), wide[:, GUESSED].shape),
    )


def lessons(chance: np.random.Generator, seed: int) -> Iterator[tuple[Lesson, bool]]:
    """All of them, and whether each is kept back."""
    folder = shared_speech()
    people = recordings(folder) if folder is not None else []
    voices = sentences(house().language, house().plausible, 9000 + seed)
    for times, part in ((TIMES, voices), (TIMES_PEOPLE, people)):
        for place, sentence in enumerate(part):
            for time in range(times):
                throat = chance.uniform(*THROATS) if time else 1.0
                yield lesson(chance, sentence, throat), place % KEPT_BACK == 0


def _noise(chance: np.random.Generator, count: int) -> Sound:
    falling = np.hypot(60, np.fft.rfftfreq(count, 1 / RATE_HZ)) ** chance.uniform(0, 2)
    noise = np.fft.irfft(np.fft.rfft(chance.standard_normal(count)) / falling, count)
    loud = gain(SPEECH_DBFS - chance.uniform(35, 70))
    return np.asarray(noise * loud / noise.std(), np.float32)


def _together(taught: list[Lesson]) -> tuple[Tensor, Tensor, Tensor]:
    """What the network is shown of each window, what it is to find, and which of it counts."""
    heard, found, counts = [], [], []
    for one in taught:
        shown, mean = in_context(one.heard)
        heard.append(shown)
        found.append((one.highs - mean) / 10)
        counts.append(one.counts)
    of, wanted, counting = (torch.tensor(np.concatenate(x)) for x in (heard, found, counts))
    return of, wanted, counting


def teach(student: nn.Module, taught: list[Lesson], kept_back: list[Lesson]) -> None:
    """Go through all lessons `ROUNDS` times, ever more slowly."""
    optimiser = torch.optim.Adam(student.parameters(), FIRST_RATE)
    heard, highs_of, counts = _together(taught)
    tried, tried_highs, tried_counts = _together(kept_back)
    for number in range(ROUNDS):
        for group in optimiser.param_groups:
            group["lr"] = FIRST_RATE * max(0.01, (1 - number / ROUNDS) ** 1.5)
        for chosen in torch.randperm(len(heard)).split(BATCH):
            off = counts[chosen] * (student(heard[chosen]) - highs_of[chosen]) ** 2
            optimiser.zero_grad()
            off.mean().backward()
            optimiser.step()
        with torch.no_grad():
            off = tried_counts * (student(tried) - tried_highs) ** 2
        off_db = 10 * float(off.sum() / tried_counts.sum()) ** 0.5
        print(
            f"round {number + 1}: on sentences that were kept back {off_db:.2f} dB off", flush=True
        )


def main() -> None:
    """Make the lessons, teach, write the weights."""
    parser = argparse.ArgumentParser(description="Teaches the network that guesses the highs.")
    parser.add_argument("--seed", type=int, default=1)
    asked = parser.parse_args()
    torch.manual_seed(asked.seed)
    made = list(lessons(np.random.default_rng(asked.seed), asked.seed))
    bands = HEARD.stop - HEARD.start
    student = nn.Sequential(
        *(nn.Linear((2 * LOOK + 1) * bands, SIZE), nn.Tanh()),
        *(nn.Linear(SIZE, SIZE), nn.Tanh()),
        nn.Linear(SIZE, GUESSED.stop - GUESSED.start),
    )
    teach(student, [one for one, kept in made if not kept], [one for one, kept in made if kept])
    file = Path(highs.__file__).with_suffix(".npz")
    learnt = {name: value.numpy() for name, value in student.state_dict().items()}
    np.savez(file, **{name: value.astype(np.float16) for name, value in learnt.items()})
    print(f"Written to {file}")


if __name__ == "__main__":
    main()
