"""How long the analysis of a caseload takes, and how that grows.

Run it as a script. The records are made once, outside the timing; one run is everything that a
caseload needs: every visit compared, every direction, all shares. Seconds are CPU time of one
core, the best of three runs. "as is" leaves the collector of the interpreter alone, which then
also walks through the records that the caller holds; "records set aside" takes them out of its
reach first, and shows the analysis by itself.

    python tests/benchmarks/analysis_speed.py
"""

import gc
import os
import random
import time
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta

from voicelog.analysis.caseload import caseload
from voicelog.analysis.comparison import Comparer, VisitComparisons
from voicelog.analysis.tables import Tables
from voicelog.data_files.reference_tables import load_tables
from voicelog.records.content import Trial
from voicelog.records.entry import Affirmation, Entry

START = datetime(2026, 1, 5, 8, 0, tzinfo=UTC)
MOVEMENTS = (
    ("shoulder", "internal rotation", "inclinometer"),
    ("shoulder", "flexion", "goniometer"),
    ("knee", "flexion", "goniometer"),
    ("hip", "flexion", "goniometer"),
    ("ankle", "dorsiflexion", "goniometer"),
)
PHASES = ("baseline", "gap", "compression", "retest")
PER_VISIT = 20


def records(count: int, seed: int = 7) -> list[Entry]:
    """Made-up confirmed trials: visits of 20 records over five movements, 1 client in 10 visits."""
    chance = random.Random(seed)
    affirmed = Affirmation(read_back="as said", by="voice")
    return [_record(number, chance, affirmed) for number in range(count)]


def _record(number: int, chance: random.Random, affirmed: Affirmation) -> Entry:
    visit, place = divmod(number, PER_VISIT)
    joint, motion, instrument = MOVEMENTS[place // len(PHASES)]
    at = START + timedelta(hours=visit, minutes=place)
    return Entry(
        entry_id=f"{visit}-{place}",
        visit_id=f"visit-{visit}",
        client=f"C-{visit // 10}",
        version=2,
        status="confirmed",
        content=Trial.model_validate(
            {
                "side": "left" if visit % 3 else "right",
                "joint": joint,
                "motion": motion,
                "phase": PHASES[place % len(PHASES)],
                "pain": 3 + visit % 5 + chance.randint(-3, 2),
                "range_deg": 60 + visit % 40 + chance.randint(-12, 12),
                "instrument": instrument,
                "quality": chance.choice([(), (), (), (), ("dull",), ("aching",), ("sharp",)]),
            }
        ),
        spoken_at=at,
        at=at,
        by="MT",
        affirmed=affirmed,
    )


def analyse(entries: list[Entry], tables: Tables) -> int:
    """One whole run, with nothing kept from an earlier one; the number of comparisons."""
    made = 0

    def counted() -> Iterator[VisitComparisons]:
        nonlocal made
        for visit in Comparer(tables).every_visit(entries):
            made += len(visit.comparisons)
            yield visit

    if not caseload(counted(), tables.rules):
        raise AssertionError("The caseload came out empty")
    return made


def best_s(entries: list[Entry], tables: Tables, runs: int = 3) -> float:
    """The shortest CPU time of a few runs, in seconds."""
    taken = []
    for _ in range(runs):
        gc.collect()
        started = time.process_time()
        analyse(entries, tables)
        taken.append(time.process_time() - started)
    return min(taken)


def main() -> None:
    """Print the table."""
    tables = load_tables()
    load = os.getloadavg()[0]
    print(f"Other work on this machine while measuring: load {load:.1f} on {os.cpu_count()} cores")
    print(f"{'records':>9} {'comparisons':>12} {'as is':>9} {'set aside':>10} {'us/record':>10}")
    for count in (1_000, 10_000, 100_000):
        entries = records(count)
        as_is = best_s(entries, tables)
        gc.collect()
        gc.freeze()
        alone = best_s(entries, tables)
        gc.unfreeze()
        made = analyse(entries, tables)
        each = as_is / count * 1e6
        print(f"{count:>9,} {made:>12,} {as_is:>8.3f}s {alone:>9.3f}s {each:>10.1f}")


if __name__ == "__main__":
    main()
