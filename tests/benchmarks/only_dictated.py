"""Only what was dictated, and right the first time: every figure of hearing in one table.

    python tests/benchmarks/only_dictated.py [--set NAME] [--split tune|test] [--short] [--misses]
                                              [--room NAME]

Sentences are drawn from the language with a seed; `tune` and `test` share neither seeds nor voices
nor lines of talk. Voices of `tune`: flite awb and kal16, festival ked and kal, espeak-ng m3. Voices
of `test`: those of `audio_fixtures`; of them the speaker of `joe`, slowed down, has served for
tuning before, and so have the meetings. Every utterance goes block by block through the endpointer,
the engine and the interpreter to the dialogue: "right at once" is a record read back with every
slot right and nothing asked; "asked back" one with a question; "dropped" one passed over. Babble
and echo as in `visits.py`; `--room` says where commands and talk are heard, the rows of dictations
have their rooms in their names. Shares in percent with their 95 % Wilson interval by statsmodels.
"""

import argparse
import os
import sys
import time
from collections import Counter, defaultdict
from collections.abc import Callable, Iterator
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass
from pathlib import Path

import numpy as np

ROOT = Path(__file__).parents[2]
sys.path.insert(0, str(ROOT))

from audio_fixtures.casting import SEEDS, Split, cast  # noqa: E402
from tests.benchmarks import people, talking, utterances  # noqa: E402
from tests.benchmarks.sounding import CONDITIONS, babble_is_of, share  # noqa: E402
from tests.benchmarks.utterances import Heard, Result  # noqa: E402

RECORDS = tuple(CONDITIONS)
FORMANT = "esp"
"""A formant voice, reported apart."""


@dataclass(frozen=True, slots=True)
class Job:
    """A part of a set that one process can do by itself."""

    set: str
    split: Split
    voice: str
    count: int
    room: str = "clean"


def jobs(wanted: list[str], split: Split, room: str, *, short: bool) -> Iterator[Job]:
    """All there is to do."""
    voices = [voice.name for voice in cast(split)]
    for name in wanted:
        if name in RECORDS:
            count = (40 if name == "clean" else 20) // (2 if short else 1)
            yield from (Job(name, split, voice, count, name) for voice in voices)
        elif name in ("commands", "inside"):
            yield from (Job(name, split, voice, 0, room) for voice in voices)
        elif name == "talk":
            visits, minutes = (5, 2) if short else (10, 8)
            yield from (Job(name, split, str(number), minutes, room) for number in range(visits))
        else:
            yield Job(name, split, "", 0)


def do(job: Job) -> tuple[Job, list[Heard]]:
    """Do one job, in whatever process."""
    doing: dict[str, Callable[[Job], list[Heard]]] = {
        **dict.fromkeys(RECORDS, lambda j: utterances.records(j.split, j.voice, j.room, j.count)),
        "commands": lambda j: utterances.commands(j.split, j.voice, j.room),
        "inside": lambda j: utterances.inside(j.split, j.voice, j.room),
        "talk": lambda j: talking.talk(j.split, int(j.voice), j.count, j.room),
        "meetings": lambda j: talking.meetings(),
        "people": lambda j: people.answers(j.split),
        "cost": lambda j: utterances.records(j.split, cast(j.split)[0].name, "clean", 25),
    }
    return job, doing[job.set](job)


SETS = (*RECORDS, "commands", "inside", "talk", "meetings", "people", "cost")


def main() -> None:
    """Do the sets and print their tables."""
    parser = argparse.ArgumentParser(description="Prints the whole table of hearing.")
    parser.add_argument("--set", choices=SETS, action="append")
    parser.add_argument("--split", choices=("tune", "test"), default="test")
    parser.add_argument("--short", action="store_true", help="half as much of everything")
    parser.add_argument("--room", choices=tuple(CONDITIONS), default="clean")
    parser.add_argument("--workers", type=int, default=min(2, os.cpu_count() or 1))
    parser.add_argument("--misses", action="store_true", help="print what was not right")
    asked = parser.parse_args()
    started = time.perf_counter()
    wanted = asked.set or list(SETS)
    found: dict[str, list[Heard]] = defaultdict(list)
    together = [
        job for job in jobs(wanted, asked.split, asked.room, short=asked.short) if job.set != "cost"
    ]
    with ProcessPoolExecutor(asked.workers) as pool:
        for job, heard in pool.map(do, together):
            found[job.set] += heard
    if "cost" in wanted:
        found["cost"] = do(Job("cost", asked.split, "", 0))[1]
    print(f"Split {asked.split}, seed {SEEDS[asked.split]}, commands and talk {asked.room}, "
          f"babble of {babble_is_of()}\n")  # fmt: skip
    for name in wanted:
        report(name, found[name])
        if asked.misses:
            _misses(found[name])
    print(f"\nTook {time.perf_counter() - started:.0f} s, load {os.getloadavg()[0]:.1f}")


def report(name: str, heard: list[Heard]) -> None:
    """The rows of one set."""
    if name in RECORDS:
        _records(name, heard)
    elif name == "cost":
        late = np.percentile([1000 * h.late_s for h in heard], [50, 95])
        cost = sum(h.compute_s for h in heard) / sum(h.audio_s for h in heard)
        print(f"\ncost: {cost:.3f} s of computing per second of sound; "
              f"end of utterance to meaning {late[0]:.0f} ms, 95th {late[1]:.0f} ms")  # fmt: skip
    elif name in ("talk", "meetings"):
        hours = sum(h.audio_s for h in heard) / 3600
        saved = sum(h.result == "saved" for h in heard)
        proposed = saved + sum(h.result == "proposed" for h in heard)
        print(f"\n{name}: {60 * hours:.1f} minutes, proposed {proposed} "
              f"({proposed / hours:.1f} an hour), saved {saved}")  # fmt: skip
    else:
        _rows(name, heard)


def _misses(heard: list[Heard]) -> None:
    for one in heard:
        if one.result not in ("right", "quiet"):
            print(f"  {one.voice} {one.result}: {one.said} -> {one.heard or '-'}")


def _records(name: str, heard: list[Heard]) -> None:
    print(f"\n{name}\n| voice | right at once, % | wrong and proposed, % | asked back, % "
          "| dropped, % | right among three, % |\n|---|---|---|---|---|---|")  # fmt: skip
    voices = sorted({h.voice for h in heard})
    shares = []
    for voice in [*voices, "all", f"all but {FORMANT}"]:
        part = [h for h in heard if voice in (h.voice, "all")
                or (voice.startswith("all but") and h.voice != FORMANT)]  # fmt: skip
        counts, total = Counter(h.result for h in part), len(part)
        if voice in voices and voice != FORMANT:
            shares.append(counts["right"] / total)
        cells = [share(counts[result], total) for result in ("right", "wrong", "asked", "dropped")]
        print(f"| {voice} | {' | '.join(cells)} | {share(sum(h.third for h in part), total)} |")
    print(f"mean of voices {100 * np.mean(shares):.1f} %, worst {100 * min(shares):.1f} %, "
          f"both without {FORMANT}")  # fmt: skip


def _rows(name: str, heard: list[Heard]) -> None:
    print(f"\n{name}\n| what | how many | right, % | asked back, % | wrong, % | dropped, % "
          "| rightly passed over, % |\n|---|---|---|---|---|---|---|")  # fmt: skip
    for kind in sorted({h.kind for h in heard}):
        part = [h for h in heard if h.kind == kind]
        counts = Counter(h.result for h in part)
        results: tuple[Result, ...] = ("right", "asked", "wrong", "dropped", "quiet")
        cells = [share(counts[result], len(part)) for result in results]
        print(f"| {kind} | {len(part)} | {' | '.join(cells)} |")


if __name__ == "__main__":
    main()
