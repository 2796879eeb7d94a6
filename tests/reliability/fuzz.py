"""Sends damaged input into everything that takes input, and counts what comes out of it.

    python tests/reliability/fuzz.py [--inputs 1000000] [--seed 1] [--only TARGET] [--processes 1]

Only a VoicelogError or one of its kinds may come out, within ten seconds of computing;
anything else is shown once for each place it came from, with the number that makes it again. Exits
with 1 when there was any.
"""

import argparse
import os
import shutil
import sys
import tempfile
import time
import traceback
from collections import Counter
from collections.abc import Callable
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass, field
from multiprocessing import get_context
from pathlib import Path
from random import Random

ROOT = Path(__file__).parents[2]
sys.path.insert(0, str(ROOT))

from tests.reliability import fuzz_desk, fuzz_files, fuzz_words  # noqa: E402
from tests.reliability.fuzz_words import Run  # noqa: E402
from voicelog.errors import VoicelogError  # noqa: E402

TOO_LONG_S = 10.0
# Each with its share of the inputs: the fast ones get most.
TARGETS: dict[str, tuple[Callable[[Path], Run], float]] = {
    "spoken parser": (fuzz_words.spoken_parser, 0.06),
    "dialogue": (fuzz_words.dialogue, 0.03),
    "typed shorthand": (fuzz_words.shorthand, 0.03),
    "settings file": (fuzz_files.settings, 0.015),
    "keys file": (fuzz_files.keys_file, 0.2),
    "grammar files": (fuzz_files.grammar_files, 0.004),
    "network cache": (fuzz_files.networks, 0.001),
    "records, plain": (fuzz_files.plain_store, 0.03),
    "records, encrypted": (fuzz_files.encrypted_store, 0.02),
    "import archives": (fuzz_files.archives, 0.08),
    "WAV files": (fuzz_files.wav, 0.13),
    "FLAC files": (fuzz_files.flac, 0.13),
    "sound clips": (fuzz_files.clips, 0.26),
    "desk requests": (fuzz_desk.desk, 0.006),
}


@dataclass
class Tally:
    """What came of the inputs of one target."""

    name: str
    inputs: int = 0
    refused: int = 0
    took_s: float = 0.0
    found: Counter[str] = field(default_factory=Counter)
    shown: list[str] = field(default_factory=list)


def fuzz(name: str, inputs: int, seed: int) -> Tally:
    """Send that many inputs into one target."""
    make, _ = TARGETS[name]
    folder = Path(tempfile.mkdtemp(prefix="fuzz-", dir=_fast_folder()))
    tally = Tally(name)
    try:
        run = make(folder)
        began_s = time.perf_counter()
        for number in range(inputs):
            _once(run, seed * 1_000_000_007 + number, tally)
        tally.took_s = time.perf_counter() - began_s
    finally:
        shutil.rmtree(folder)
    return tally


def _once(run: Run, number: int, tally: Tally) -> None:
    began_s = time.process_time()
    tally.inputs += 1
    try:
        run(Random(number))
    except VoicelogError:
        tally.refused += 1
    except Exception as error:
        _note(tally, number, type(error).__name__, error)
    if time.process_time() - began_s > TOO_LONG_S:
        _note(tally, number, "took too long", None)


def _note(tally: Tally, number: int, kind: str, error: Exception | None) -> None:
    frames = traceback.extract_tb(error.__traceback__) if error else []
    ours = [f for f in frames if "voicelog" in f.filename and "reliability" not in f.filename]
    place = f"{Path(ours[-1].filename).name}:{ours[-1].lineno}" if ours else "outside"
    key = f"{kind} at {place}"
    tally.found[key] += 1
    if tally.found[key] == 1:
        text = "".join(traceback.format_exception(error)[-6:]) if error else ""
        tally.shown.append(f"{tally.name}, number {number}: {key}\n{text}")


def _fast_folder() -> str | None:
    """Memory rather than the disk, where the system has such a folder."""
    return "/dev/shm" if os.access("/dev/shm", os.W_OK) else None


def main() -> int:
    """Run it, print the figures; 1 when anything was found."""
    parser = argparse.ArgumentParser(description="Damaged input into everything that takes any.")
    parser.add_argument("--inputs", type=int, default=1_000_000)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--only", choices=TARGETS)
    parser.add_argument("--processes", type=int, default=1)
    asked = parser.parse_args()
    chosen = {asked.only: 1.0} if asked.only else {n: share for n, (_, share) in TARGETS.items()}
    print(f"{'inputs':>9} {'refused':>9} {'found':>6} {'seconds':>8}  target", flush=True)
    total = found = 0
    with ProcessPoolExecutor(asked.processes, get_context("spawn")) as pool:
        jobs = [
            pool.submit(fuzz, name, max(1, round(asked.inputs * share)), asked.seed)
            for name, share in chosen.items()
        ]
        for job in jobs:
            t = job.result()
            total, found = total + t.inputs, found + t.found.total()
            figures = f"{t.inputs:9d} {t.refused:9d} {t.found.total():6d} {t.took_s:8.0f}"
            print(f"{figures}  {t.name}", *t.shown, sep="\n", flush=True)
    print(f"{total:9d} inputs, {found} of them found something")
    return bool(found)


if __name__ == "__main__":
    sys.exit(main())
