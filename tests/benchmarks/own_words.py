"""What own words cost: prints how soon a new drill is usable, and what 200 of them do to hearing.

    python tests/benchmarks/own_words.py [RECORDINGS]

The words are made up: each drill is two everyday words of the engine's dictionary, drawn by chance.
The fixtures of every voice, or so many of them, are heard with the language as it is and with the
200 more, one after the other in one process; shares with their 95 % Wilson interval.
"""

import random
import sys
import time
from dataclasses import replace
from pathlib import Path
from tempfile import TemporaryDirectory

ROOT = Path(__file__).parents[2]
sys.path.insert(0, str(ROOT))

from audio_fixtures.manifest import load_manifest  # noqa: E402
from tests.benchmarks.hearing import Tally, measure  # noqa: E402
from tests.benchmarks.sounding import share  # noqa: E402
from voicelog.grammar.own_words import OwnWords  # noqa: E402
from voicelog.listening.hearing import Hearing  # noqa: E402
from voicelog.recognisers.lexicon import DICTIONARY  # noqa: E402
from voicelog.settings.fields import Settings  # noqa: E402
from voicelog.wiring import House  # noqa: E402
from voicelog.words.adding import keep, propose  # noqa: E402

COUNT, SEED = 200, 7


def made_up() -> OwnWords:
    """So many drills of two words each."""
    lines = DICTIONARY.read_text(encoding="utf-8")
    words = [w for line in lines.splitlines() if 4 <= len(w := line.split()[0]) <= 7]
    drawn = random.Random(SEED)
    plain = [word for word in words if word.isalpha()]
    names = {" ".join(drawn.sample(plain, 2)) for _ in range(COUNT)}
    return OwnWords(drills={name: [name] for name in sorted(names)})


def how_soon(house: House) -> None:
    """Time from the wish to an engine that hears the new drill, in seconds; each part its own."""
    house.recogniser("pocketsphinx")
    times = [(time.perf_counter(), time.process_time())]
    proposal = propose(house, "drill", "sled push")
    times.append((time.perf_counter(), time.process_time()))
    keep(house, proposal.own).recogniser("pocketsphinx")
    times.append((time.perf_counter(), time.process_time()))
    for what, (clock, used), (clock2, used2) in zip(
        ("checked against all else", "an engine that hears it"), times, times[1:], strict=False
    ):
        print(f"{what}: {clock2 - clock:.2f} s, of which computing {used2 - used:.2f} s")


def heard(hearing: Hearing, limit: int) -> Tally:
    """What became of the records among the fixtures."""
    manifest, tally = load_manifest(), Tally()
    sentences = {s.id: s for s in manifest.utterance if s.kind not in ("command", "note")}
    recordings = [r for r in manifest.recordings() if r.id in sentences]
    step = max(1, len(recordings) // limit)
    for recording in recordings[::step]:
        measure(hearing, sentences[recording.id], recording.path, tally)
    return tally


def main() -> None:
    """Print both."""
    limit = int(sys.argv[1]) if len(sys.argv) > 1 else 10_000
    with TemporaryDirectory() as folder:
        house = House(Settings(data_folder=Path(folder), engine="pocketsphinx"))
        how_soon(house)
        for name, own in (("as it is", OwnWords()), (f"{COUNT} more", made_up())):
            hearing = replace(house, trial_words=own).hearing("pocketsphinx")
            tally = heard(hearing, limit)
            print(f"{name}: right {share(sum(tally.records), len(tally.records))} %", end=" ")
            print(f"of {len(tally.records)}, {tally.wrong} wrong and proposed,", end=" ")
            print(f"computing {tally.compute_s / tally.audio_s:.3f} s per s of sound")


if __name__ == "__main__":
    main()
