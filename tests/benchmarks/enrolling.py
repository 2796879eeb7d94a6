"""Does an enrolled voice help? Records and talk of a voice before and after it was learnt.

    python tests/benchmarks/enrolling.py [--split tune|test] [--voice NAME] [--records N] [--talk N]

Each voice reads the phrases of `voicelog enrol` and is learnt from them. Then it dictates other
sentences, those of `only_dictated.py`, and says lines of talk, heard both times exactly as there:
block by block through endpointer, engine, interpreter and dialogue. The form of the transform and
its prior were chosen on `esm` and `awb` of `tune`; nothing on sentences or voices of `test`. The
last column is the command's own verdict, from the phrases alone. Shares in percent with their 95 %
Wilson interval by statsmodels.
"""

import argparse
import os
import sys
import tempfile
import time
from collections import Counter
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass
from functools import partial
from pathlib import Path

import numpy as np

ROOT = Path(__file__).parents[2]
sys.path.insert(0, str(ROOT))

from audio_fixtures.casting import SEEDS, Split, cast, said  # noqa: E402
from audio_fixtures.chat import Chat  # noqa: E402
from audio_fixtures.manifest import RATE_HZ, Voice  # noqa: E402
from audio_fixtures.sound import room  # noqa: E402
from tests.benchmarks import utterances  # noqa: E402
from tests.benchmarks.sounding import QUIET_DBFS, background, share  # noqa: E402
from tests.benchmarks.utterances import Heard, Result  # noqa: E402
from voicelog.audio.base import Samples  # noqa: E402
from voicelog.enrolment.kept_voice import keep_voice, voice_file  # noqa: E402
from voicelog.enrolment.learning import Enrolment, Learnt, Take, learnt_voice  # noqa: E402
from voicelog.recognisers.acoustic_model import load_acoustic_model  # noqa: E402
from voicelog.recognisers.aligning import MODEL_FOLDER  # noqa: E402
from voicelog.settings.fields import Settings  # noqa: E402

RESULTS: tuple[Result, ...] = ("right", "wrong", "asked", "dropped")
HELD_S = 0.5
"""Silence around each phrase that is read."""


@dataclass(frozen=True, slots=True)
class Found:
    """One voice: what was learnt, how many phrases were refused, and what was heard before and
    after; records, and lines of talk with whether each was proposed."""

    voice: str
    learnt: Learnt | None
    refused: int
    records: tuple[list[Heard], list[Heard]]
    proposed: tuple[list[bool], list[bool]]


def measured(split: Split, counts: tuple[int, int], tried: bool, name: str) -> Found:
    """Enrol a voice and hear it, before and after, in this process."""
    voice, _ = utterances.named(split, name)
    with tempfile.TemporaryDirectory() as folder:
        os.environ["VOICELOG_DATA_FOLDER"] = folder
        before = _heard(split, voice, *counts)
        takes, refused, learnt = _read(voice, tried=tried)
        content = learnt_voice(load_acoustic_model(MODEL_FOLDER), takes)
        keep_voice(voice_file(Settings()), content)
        after = _heard(split, voice, *counts)
    return Found(name, learnt, refused, (before[0], after[0]), (before[1], after[1]))


def _read(voice: Voice, *, tried: bool) -> tuple[list[Take], int, Learnt | None]:
    """The phrases as this voice reads them, how many were refused, and the command's trial."""
    with Enrolment(utterances.house()) as enrolment:
        read = [enrolment.take(p, _in_room(voice, p)) for p in enrolment.phrases]
        takes = [take for take in read if isinstance(take, Take)]
        return takes, len(read) - len(takes), enrolment.learn(takes) if tried else None


def _in_room(voice: Voice, phrase: str) -> Samples:
    speech, edge = said(voice, phrase), round(HELD_S * RATE_HZ)
    sound = room(2 * HELD_S + len(speech) / RATE_HZ, QUIET_DBFS, phrase)
    sound = sound[: len(speech) + 2 * edge]
    sound[edge : edge + len(speech)] += speech
    return np.clip(np.rint(sound * 32_768), -32_768, 32_767).astype(np.int16)


def _heard(split: Split, voice: Voice, records: int, talk: int) -> tuple[list[Heard], list[bool]]:
    """Records and talk with what is on file now."""
    utterances.house.cache_clear()
    utterances.hearing.cache_clear()
    found = utterances.records(split, voice.name, "clean", records)
    chat = Chat(utterances.house().language, split, SEEDS[split])
    quiet, state = background("clean", SEEDS[split]), utterances.listening()
    proposed = []
    for _ in range(talk):
        steps = utterances.listened(said(voice, chat.line().text), quiet, state)
        proposed.append(any(step.meant.intent is not None for step in steps))
    return found, proposed


def report(found: Found) -> None:
    """The rows of one voice."""
    for when, heard, proposed in zip(
        ("before", "after"), found.records, found.proposed, strict=True
    ):
        counts = Counter(one.result for one in heard)
        cells = [share(counts[result], len(heard)) for result in RESULTS]
        cells += [share(sum(proposed), len(proposed)), _verdict(found, when)]
        print(f"| {found.voice} | {when} | {' | '.join(cells)} |", flush=True)


def _verdict(found: Found, when: str) -> str:
    learnt = found.learnt
    if learnt is None:
        return "left out" if when == "before" else f"{found.refused} phrases refused"
    if when == "before":
        return f"{learnt.before.right} of {learnt.phrases} phrases right"
    kept = "kept" if learnt.helps else "not kept"
    return f"{learnt.after.right} of {learnt.phrases}, {found.refused} refused: {kept}"


def main() -> None:
    """Measure the voices and print the table."""
    parser = argparse.ArgumentParser(description="Prints what enrolling a voice does for it.")
    parser.add_argument("--split", choices=("tune", "test"), default="test")
    parser.add_argument("--voice", action="append", help="only this voice")
    parser.add_argument("--records", type=int, default=40)
    parser.add_argument("--talk", type=int, default=40)
    parser.add_argument("--untried", action="store_true", help="leave out the command's own trial")
    parser.add_argument("--workers", type=int, default=min(2, os.cpu_count() or 1))
    asked = parser.parse_args()
    started = time.perf_counter()
    voices = asked.voice or [voice.name for voice in cast(asked.split)]
    print(f"Split {asked.split}, {asked.records} records and {asked.talk} lines of talk each\n")
    print("| voice | | right at once, % | wrong and proposed, % | asked back, % | dropped, % "
          "| talk proposed, % | its own trial |\n|---|---|---|---|---|---|---|---|")  # fmt: skip
    with ProcessPoolExecutor(asked.workers) as pool:
        counts = asked.records, asked.talk
        doing = partial(measured, asked.split, counts, not asked.untried)
        for found in pool.map(doing, voices):
            report(found)
    print(f"\nTook {time.perf_counter() - started:.0f} s, load {os.getloadavg()[0]:.1f}")


if __name__ == "__main__":
    main()
