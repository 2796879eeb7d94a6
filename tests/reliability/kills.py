"""Kills a dictating process at random moments, again and again, and counts what was lost.

    python tests/reliability/kills.py [--kills 500] [--seed 1]

What the process announced at the moment it did so is compared with what the store holds after it
is opened again: every record it called saved is there, once and to the letter; every dictation it
kept is there as unconfirmed; the visit is taken up where it broke off; the order is that in which
she spoke. Kills come from outside at any moment, or from within a write, a sync, a cut of the log;
writes and syncs also fail, disks fill, clocks are set back, and a power cut is played by spoiling
what the log holds behind the last announcement. Exits with 1 when anything was lost or came twice.
Ctrl-C ends it with the figures so far. With an empty VOICELOG_PASSPHRASE the key lies in a file,
which opens sooner than a passphrase.
"""

import argparse
import json
import os
import random
import statistics
import subprocess
import sys
import tempfile
import time
from collections import Counter
from dataclasses import asdict, dataclass, field
from datetime import UTC, datetime, timedelta
from pathlib import Path

ROOT = Path(__file__).parents[2]
sys.path.insert(0, str(ROOT))

from tests.reliability.announced import Ledger, Round  # noqa: E402
from tests.reliability.dictation import Order, house  # noqa: E402
from tests.reliability.faults import KINDS, POSSIBLE  # noqa: E402
from voicelog.wiring import House  # noqa: E402

NINE = datetime(2026, 3, 2, 9, 0, tzinfo=UTC)
ROUNDS_PER_FILE = 25
LONGEST_S = 0.35
PLAIN = ("killed at any moment", "clock set back", "power cut")


@dataclass
class Tally:
    """What was found over all rounds."""

    kills: Counter[str] = field(default_factory=Counter)
    announced: int = 0
    saved: int = 0
    failed: int = 0
    plain_files: int = 0
    lost: list[str] = field(default_factory=list)
    took_ms: list[float] = field(default_factory=list)
    reopened_s: list[float] = field(default_factory=list)


class Dictating:
    """The process that is killed: a server that forks a child for each order."""

    def __init__(self) -> None:
        self._server = subprocess.Popen(
            [sys.executable, str(Path(__file__).parent / "dictation.py")],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            text=True,
            start_new_session=True,  # Ctrl-C is for the one that counts
        )

    def run(self, order: Order, kill_after_s: float) -> Round:
        """Let it dictate; kill it so long after it has begun, unless something else did."""
        assert self._server.stdin
        assert self._server.stdout
        self._server.stdin.write(json.dumps(asdict(order)) + "\n")
        self._server.stdin.flush()
        found, child, killer = Round(), 0, None
        for line in iter(self._server.stdout.readline, ""):
            words = line.split()
            if words[0] == "end":
                break
            if words[0] == "child":
                child = int(words[1])
            elif killer is None:
                killer = subprocess.Popen(
                    ["sh", "-c", f"sleep {kill_after_s:.4f}; kill -9 {child}"],
                    stderr=subprocess.DEVNULL,
                )
            found.take(words)
        else:
            raise RuntimeError("the dictating process itself has failed")
        if killer is not None:
            killer.kill()
            killer.wait()
        return found

    def close(self) -> None:
        """Send it home."""
        with self._server:
            self._server.communicate()


def rounds(kills: int, seed: int, tally: Tally) -> None:
    """All the kills, on a new file every so often."""
    chance = random.Random(seed)
    dictating = Dictating()
    names = [*PLAIN, *(KINDS if POSSIBLE else ())]
    try:
        done = 0
        while done < kills:
            with tempfile.TemporaryDirectory(prefix="kills-") as folder:
                practice = Practice(house(folder), tally)
                for _ in range(min(ROUNDS_PER_FILE, kills - done)):
                    what = names[done % len(names)]
                    done += 1
                    practice.one_round(dictating, what, chance)
                tally.plain_files += practice.is_plain
    finally:
        dictating.close()


class Practice:
    """One file of records, with everything that was ever announced of it."""

    def __init__(self, built: House, tally: Tally) -> None:
        self._built = built
        self._tally = tally
        self._path = built.settings.store_file
        self._log = self._path.with_name(self._path.name + "-wal")
        self._ledger = Ledger(built)
        self._rounds = 0

    @property
    def is_plain(self) -> bool:
        """Whether anybody could read the file, by the first words of SQLite's file format."""
        with self._path.open("rb") as file:
            return file.read(15) == b"SQLite format 3"

    def one_round(self, dictating: Dictating, what: str, chance: random.Random) -> None:
        """Dictate, kill, open again, compare."""
        self._rounds += 1
        order = Order(
            data=str(self._built.settings.data_folder),
            seed=chance.getrandbits(32),
            at=(NINE + timedelta(minutes=self._rounds)).isoformat(),
            fault=what,
            after=chance.randint(1, 12),
            from_byte=chance.randint(0, 40_000),
            clock=what == "clock set back",
        )
        kill_after_s = chance.uniform(0, LONGEST_S) if what in PLAIN else 2 * LONGEST_S
        found = dictating.run(order, kill_after_s)
        if what == "power cut":
            self._spoil(found, chance)
        self._tally.kills[what] += 1
        self._compare(found, what)

    def _spoil(self, found: Round, chance: random.Random) -> None:
        """What was not synced yet may be anything: cut the log behind the last announcement, or
        fill that part with noise. Only where the log has grown all along, so that it is known
        where that part begins."""
        sizes = found.log_bytes
        if not sizes or not self._log.exists() or sizes != sorted(set(sizes)):
            return
        whole = self._log.read_bytes()
        keep = chance.randint(sizes[-1], len(whole)) if len(whole) > sizes[-1] else sizes[-1]
        noise = chance.randbytes(len(whole) - keep) if chance.random() < 0.5 else b""
        self._log.write_bytes(whole[:keep] + noise)

    def _compare(self, found: Round, what: str) -> None:
        tally = self._tally
        tally.announced += len(found.kept)
        tally.saved += len(found.saved)
        tally.failed += found.failed
        tally.took_ms += found.took_ms
        tally.lost += [f"{what}: {loss}" for loss in self._ledger.enter(found)]
        began_s = time.perf_counter()
        store = self._built.store()
        tally.reopened_s.append(time.perf_counter() - began_s)
        try:
            if check := getattr(store, "check", None):
                check()
            at = NINE + timedelta(minutes=self._rounds)
            tally.lost += [f"{what}: {loss}" for loss in self._ledger.losses(store, at)]
        finally:
            store.close()


def main() -> int:
    """Run it, print the figures; 1 when something was lost."""
    parser = argparse.ArgumentParser(description="Kill a dictating process, compare, count.")
    parser.add_argument("--kills", type=int, default=500)
    parser.add_argument("--seed", type=int, default=1)
    asked = parser.parse_args()
    # The records are encrypted, as the settings say, and nobody is there to be asked.
    os.environ.setdefault("VOICELOG_PASSPHRASE", "made up for being killed")
    tally = Tally()
    began_s = time.monotonic()
    try:
        rounds(asked.kills, asked.seed, tally)
    except KeyboardInterrupt:
        print("stopped before its end")
    for what, count in tally.kills.items():
        print(f"{count:5d}  {what}")
    print(f"{sum(tally.kills.values())} kills in {time.monotonic() - began_s:.0f} s")
    print(f"{tally.announced} steps announced as kept, {tally.saved} records announced as saved")
    print(f"{tally.failed} writes failed and were said to have failed")
    print(f"{tally.plain_files} files were not encrypted")
    print(f"a step kept in {statistics.median(tally.took_ms):.1f} ms (median)")
    print(f"opened again in {1000 * statistics.median(tally.reopened_s):.0f} ms (median)")
    print(f"{len(tally.lost)} lost, doubled, out of order or announced too early")
    for loss in tally.lost[:20]:
        print(f"  {loss}")
    return bool(tally.lost)


if __name__ == "__main__":
    sys.exit(main())
