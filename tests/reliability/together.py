"""Several processes save in one encrypted store at once, and each says how long it waited.

    python tests/reliability/together.py [--processes 2] [--records 300]

Each records a visit of its own, as two `listen`s or one and the desk do. Exits with 1 when a record
that was saved is missing, is there twice, or was refused.
"""

import argparse
import random
import sys
import tempfile
from concurrent.futures import ProcessPoolExecutor
from contextlib import closing
from multiprocessing import get_context
from pathlib import Path

ROOT = Path(__file__).parents[2]
sys.path.insert(0, str(ROOT))

from tests.reliability.store_speed import NINE, YES, entry, timed  # noqa: E402
from voicelog.errors import StoreError  # noqa: E402
from voicelog.store.base import Clip  # noqa: E402
from voicelog.store.drivers import FileKey  # noqa: E402
from voicelog.store.sqlite import SqliteStore  # noqa: E402
from voicelog.store.wrapping import new_file_key  # noqa: E402

Saved = tuple[list[str], list[float], int]


def save(path: Path, key: FileKey, who: int, count: int) -> Saved:
    """Record a visit: the ids of what was saved, the wait for each write in ms, and refusals."""
    chance, saved, waits, refused = random.Random(who), [], [], 0
    with closing(SqliteStore(path, key=key)) as store:
        visit = store.open_visit(f"C-{who:04}", NINE)
        for number in range(count):
            first = entry(1_000_000 * who + number, visit, chance)
            sound = Clip(chance.randbytes(40_000), "as said", 4.0)
            yes = first.confirm(YES, first.at)
            try:
                waits.append(timed(lambda: store.append(first, [sound]))[0])  # noqa: B023
                waits.append(timed(lambda: store.append(yes))[0])  # noqa: B023
            except StoreError:
                refused += 1
                continue
            saved.append(first.entry_id)
    return saved, waits, refused


def main() -> int:
    """Run it, print the figures; 1 when anything was lost, doubled or refused."""
    parser = argparse.ArgumentParser(description="Several processes save in one store at once.")
    parser.add_argument("--processes", type=int, default=2)
    parser.add_argument("--records", type=int, default=300)
    asked = parser.parse_args()
    with tempfile.TemporaryDirectory(prefix="together-") as folder:
        path, key = Path(folder) / "records.sqlite", new_file_key()
        SqliteStore(path, key=key).close()
        with ProcessPoolExecutor(asked.processes, get_context("spawn")) as pool:
            jobs = [
                pool.submit(save, path, key, who, asked.records)
                for who in range(1, asked.processes + 1)
            ]
            done = [job.result() for job in jobs]
        with closing(SqliteStore(path, key=key)) as store:
            store.check()
            kept = [e.entry_id for v in store.visits() for e in store.records(v.visit_id)]
    announced = [each for saved, _, _ in done for each in saved]
    waits = sorted(wait for _, each, _ in done for wait in each)
    refused = sum(each for _, _, each in done)
    lost, twice = len(set(announced) - set(kept)), len(kept) - len(set(kept))
    middle, p95 = waits[len(waits) // 2], waits[int(0.95 * len(waits))]
    print(f"{asked.processes} processes, {len(announced)} records announced as saved")
    print(f"waits: median {middle:.1f} ms, p95 {p95:.1f} ms, longest {waits[-1]:.1f} ms")
    print(f"{lost} lost, {twice} twice, {refused} refused")
    return int(bool(lost or twice or refused))


if __name__ == "__main__":
    sys.exit(main())
