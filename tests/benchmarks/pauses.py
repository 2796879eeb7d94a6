"""Dictations with pauses in them, as when she looks at the angle: how many are cut in two.

    python tests/benchmarks/pauses.py [--split tune|test]

The parts of fresh dictations, spoken one by one, with pauses of 0.2 to 0.48 s between them, in each
room; only the endpointer listens. In milliseconds, how much too early an utterance begins and how
much too late it ends.
"""

import argparse
import sys
from collections.abc import Iterator
from pathlib import Path

import numpy as np

ROOT = Path(__file__).parents[2]
sys.path.insert(0, str(ROOT))

from audio_fixtures.casting import SEEDS, Split, cast, said  # noqa: E402
from audio_fixtures.fresh import Writer  # noqa: E402
from audio_fixtures.rooms import Sound  # noqa: E402
from tests.benchmarks.endpointing import found_in  # noqa: E402
from tests.benchmarks.sounding import (  # noqa: E402
    CONDITIONS,
    LEAD_S,
    babble_is_of,
    background,
    placed,
    share,
)
from tests.benchmarks.utterances import house  # noqa: E402
from voicelog.audio.base import RATE_HZ  # noqa: E402

EACH = 14
"""So many dictations by each voice."""
PAUSE_S = (0.2, 0.48)
AUDIBLE = 0.003
"""What is softer, as a share of full scale, is silence of the synthesis around a part."""
TOO_EARLY_S = 0.6
HEAD = (
    "| room | how many | cut in two, % | not found, % | begun over 0.6 s too early, % "
    "| early: 5th / 50th / 95th | late: 5th / 50th / 95th |\n|" + "---|" * 7
)


def main() -> None:
    """Print the table."""
    parser = argparse.ArgumentParser(description="Counts dictations that are cut in two.")
    parser.add_argument("--split", choices=("tune", "test"), default="test")
    split: Split = parser.parse_args().split
    print(f"Babble of {babble_is_of()}\n\n{HEAD}")
    for condition in CONDITIONS:
        print(row(condition, split), flush=True)


def row(condition: str, split: Split) -> str:
    """The dictations of all voices in one room."""
    room = background(condition, SEEDS[split])
    hits: list[int] = []
    early_s: list[float] = []
    late_s: list[float] = []
    for speech in with_pauses(split):
        begin_s, end_s = LEAD_S, LEAD_S + len(speech) / RATE_HZ
        found = [
            span for span in found_in(placed(speech, room)) if begin_s < span[1] and span[0] < end_s
        ]
        hits.append(len(found))
        if found:
            early_s.append(begin_s - found[0][0])
            late_s.append(found[-1][1] - end_s)
    cut, missed = sum(n > 1 for n in hits), hits.count(0)
    soon = sum(s > TOO_EARLY_S for s in early_s)
    errors = (" / ".join(f"{1000 * s:.0f}" for s in np.percentile(errors_s, [5, 50, 95]))
              for errors_s in (early_s, late_s))  # fmt: skip
    counts = (share(n, len(hits)) for n in (cut, missed, soon))
    return f"| {condition} | {len(hits)} | {' | '.join((*counts, *errors))} |"


def with_pauses(split: Split) -> Iterator[Sound]:
    """Fresh dictations, each with a pause wherever a part ends."""
    chance = np.random.default_rng(SEEDS[split])
    for place, voice in enumerate(cast(split)):
        writer = Writer(house().language, house().plausible, SEEDS[split] + 7 * place)
        for _ in range(EACH):
            parts: list[Sound] = []
            for part in writer.dictation().text.split(", "):
                sound = said(voice, part)
                heard = np.flatnonzero(np.abs(sound) > AUDIBLE)
                pause = np.zeros(round(chance.uniform(*PAUSE_S) * RATE_HZ), np.float32)
                parts += [sound[heard[0] : heard[-1] + 1], pause]
            yield np.concatenate(parts[:-1])


if __name__ == "__main__":
    main()
