"""Kills commands at random moments, and looks at what is there afterwards.

    python tests/reliability/killed_commands.py [--kills 10] [--seed 1] [COMMAND...]

Each of `listen`, `import`, `words import` and `tidy` is started as she starts it, and at a random
moment killed, or told to stop as Ctrl-C does. Afterwards the records open and pass their check;
what was said to be saved is there once; what was there before is there to the letter; an archive,
new words and the removal of sound took place as a whole or not at all; and the same command works
when it is given again. Exits with 1 when anything of this is not so.
"""

import argparse
import json
import os
import random
import shutil
import signal
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Iterator, Sequence
from contextlib import closing, contextmanager
from dataclasses import asdict, dataclass, replace
from pathlib import Path

import soundfile

ROOT = Path(__file__).parents[2]
sys.path.insert(0, str(ROOT))

from tests.reliability.dictation import CLIENT, Order, house  # noqa: E402
from voicelog.archive.writing import write_archive  # noqa: E402
from voicelog.store.base import Parcel, Store  # noqa: E402

VISIT, FROM_S, TO_S = ROOT / "audio_fixtures" / "visit.flac", 33, 65
"""In these seconds a trial is dictated, asked for its side, and affirmed."""
WORDS = '[drills]\n"sled drag" = ["sled drag"]\n[cues]\n"soft knees" = ["soft knees"]\n'

Parcels = list[Parcel]


@dataclass(frozen=True, slots=True)
class Practice:
    """A folder of records as it was before the command."""

    folder: Path
    before: Parcels
    elsewhere: Parcels
    """What the archive holds."""


@dataclass(frozen=True, slots=True)
class Tried:
    """A command line, given the folder of files it reads; and what is wrong with what it left,
    given the practice, what it wrote to standard output, and whether it went through."""

    line: Callable[[Path], list[str]]
    wrong: Callable[[Practice, str, bool], Iterator[str]]


def parcels(store: Store) -> Parcels:
    """All that is kept."""
    return [store.parcel(visit.visit_id) for visit in store.visits()]


def kept(practice: Practice) -> Parcels:
    """All that is there now. Raises StoreError where the file is damaged."""
    with closing(house(str(practice.folder)).store()) as store:
        store.check()
        return parcels(store)


def after_listening(practice: Practice, told: str, whole: bool) -> Iterator[str]:
    """Nothing that was told is lost, nothing comes twice, nothing is a record without a yes."""
    events = [json.loads(line) for line in told.splitlines() if line.endswith("}")]
    saved = {event["entry_id"] for event in events if event["event"] == "saved"}
    now = kept(practice)
    if any(parcel not in now for parcel in practice.before):
        yield "an earlier visit is not as it was"
    new = [parcel for parcel in now if parcel not in practice.before]
    versions = [version for parcel in new for version in parcel.versions]
    records = {version.entry_id for version in versions if version.status == "confirmed"}
    contents = [v.content for v in versions if v.status == "confirmed"]
    if not saved <= records:
        yield "a record that was said to be saved is not there"
    if len(records - saved) > 1:
        yield "records are there that nobody heard of"
    if any(v.status == "confirmed" and v.affirmed is None for v in versions):
        yield "a record is there without a yes"
    if len(new) > 1 or (whole and len(contents) != 1):
        yield f"{len(new)} visits with {len(contents)} records in place of one with one"


def after_import(practice: Practice, told: str, whole: bool) -> Iterator[str]:
    """All of the archive is there, or nothing of it."""
    now = kept(practice)
    if now not in (practice.before, [*practice.before, *practice.elsewhere]):
        yield "a part of the archive was taken in, or something else changed"
    if whole and len(now) == len(practice.before):
        yield "the archive was not taken in"


def after_words(practice: Practice, told: str, whole: bool) -> Iterator[str]:
    """All of the words can be said, or none; and the records are as they were."""
    own = house(str(practice.folder)).own_words
    there = len(own.drills) + len(own.cues)
    if there not in (0, 2) or (whole and there == 0):
        yield f"{there} of 2 words are there"
    if kept(practice) != practice.before:
        yield "records changed"


def after_tidying(practice: Practice, told: str, whole: bool) -> Iterator[str]:
    """The sound is gone or all there; the records are as they were."""
    now, silent = kept(practice), [replace(parcel, clips={}) for parcel in practice.before]
    if now not in (practice.before, silent) or (whole and now != silent):
        yield "sound is left, or records changed"


TRIED = {
    "listen": Tried(
        lambda files: [
            "listen", "--client", "C-031", "--audio", str(files / "visit.flac"), "--screen-later",
            "--events", "--new-visit",
        ],
        after_listening,
    ),
    "import": Tried(lambda files: ["import", str(files / "all.zip")], after_import),
    "words import": Tried(
        lambda files: ["words", "import", str(files / "words.toml")], after_words
    ),
    "tidy": Tried(lambda files: ["tidy", "--keep-audio", "0d", "--yes"], after_tidying),
}  # fmt: skip


def prepare(files: Path) -> Practice:
    """A practice with a visit in it, and all that the commands read."""
    sound, rate_hz = soundfile.read(VISIT, dtype="int16")
    soundfile.write(files / "visit.flac", sound[FROM_S * rate_hz : TO_S * rate_hz], rate_hz)
    (files / "words.toml").write_text(WORDS, encoding="utf-8")
    days = (("practice", "2026-03-02T09:00+00:00"), ("other", "2026-03-03T09:00+00:00"))
    orders = [Order(str(files / name), seed=1, at=at, steps=40) for name, at in days]
    subprocess.run(
        [sys.executable, str(Path(__file__).parent / "dictation.py")],
        input="".join(f"{json.dumps(asdict(order))}\n" for order in orders),
        stdout=subprocess.DEVNULL,
        text=True,
        check=True,
    )
    with closing(house(str(files / "other")).store()) as store:
        write_archive(store, files / "all.zip", CLIENT, sound=True)
        elsewhere = parcels(store)
    with closing(house(str(files / "practice")).store()) as store:
        return Practice(files / "practice", parcels(store), elsewhere)


def run(line: Sequence[str], practice: Practice, kill_after_s: float | None, how: int) -> str:
    """The command, killed so long after its start; what it wrote to standard output. Raises
    RuntimeError when it is not killed and fails."""
    process = subprocess.Popen(
        [sys.executable, "-m", "voicelog", *line, "--data", str(practice.folder)],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        cwd=ROOT,
        start_new_session=True,  # Ctrl-C is for the one that counts
    )
    try:
        told, error = process.communicate(timeout=kill_after_s)
    except subprocess.TimeoutExpired:
        process.send_signal(how)
        told, error = process.communicate(timeout=60)
        if "Traceback" in error and "voicelog/cli/" in error:  # not from Python's own start
            raise RuntimeError(error) from None
    else:
        if process.returncode:
            raise RuntimeError(error)
    return told


def kill_often(name: str, kills: int, chance: random.Random, files: Path) -> Iterator[str]:
    """What is wrong after each kill of a command and after giving it again."""
    tried, before = TRIED[name], prepare(files)
    line = tried.line(files)
    with copy_of(before) as practice:
        began_s = time.monotonic()
        yield from round_of(tried, line, practice, None, signal.SIGKILL)
        usual_s = (time.monotonic() - began_s) / 2
        usual = names(practice)
    for number in range(kills):
        how = (signal.SIGKILL, signal.SIGINT)[number % 2]
        at_s = chance.uniform(0, usual_s)
        with copy_of(before) as practice:
            found = [*round_of(tried, line, practice, at_s, how)]
            found += [f"{left} is left behind" for left in names(practice) - usual]
        yield from (f"{name}, {how.name} after {at_s:.2f} of {usual_s:.2f} s: {f}" for f in found)


@contextmanager
def copy_of(before: Practice) -> Iterator[Practice]:
    """The practice in a folder of its own."""
    with tempfile.TemporaryDirectory(prefix="killed-") as folder:
        practice = replace(before, folder=Path(folder) / "practice")
        shutil.copytree(before.folder, practice.folder)
        yield practice


def names(practice: Practice) -> set[str]:
    """The files of a practice."""
    return {str(file.relative_to(practice.folder)) for file in practice.folder.rglob("*")}


def round_of(
    tried: Tried, line: Sequence[str], practice: Practice, kill_after_s: float | None, how: int
) -> Iterator[str]:
    """The command with a kill or without, and the same again without one."""
    try:
        told = run(line, practice, kill_after_s, how)
        yield from tried.wrong(practice, told, kill_after_s is None)
        again = replace(practice, before=kept(practice)) if "listen" in line else practice
        told = run(line, again, None, how)
        yield from tried.wrong(again, told, True)
    except Exception as error:  # whatever it is, it is told with the moment it came of
        yield repr(error)


def main() -> int:
    """Run it, print what is wrong; 1 when anything is."""
    parser = argparse.ArgumentParser(description="Kill commands at random moments.")
    parser.add_argument("commands", nargs="*", default=list(TRIED), metavar="COMMAND")
    parser.add_argument("--kills", type=int, default=10, help="of each command")
    parser.add_argument("--seed", type=int, default=1)
    asked = parser.parse_args()
    os.environ.setdefault("VOICELOG_PASSPHRASE", "made up for being killed")
    count = 0
    for name in asked.commands:
        with tempfile.TemporaryDirectory(prefix="files-") as files:
            for wrong in kill_often(name, asked.kills, random.Random(asked.seed), Path(files)):
                count += 1
                print(wrong, flush=True)
        print(f"{asked.kills} kills of {name}", flush=True)
    print(f"{count} times something was lost, doubled, left by halves or did not work again")
    return bool(count)


if __name__ == "__main__":
    sys.exit(main())
