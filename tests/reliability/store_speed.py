"""How fast a store keeps, opens and finds: prints a table, with and without encryption.

Run from the top of a working copy: python tests/reliability/store_speed.py
A short form: … --saves 20 --opened 1000 --times 3 --searched 2000
The figures to reach: a durable save in under 30 ms (median), an encrypted store of 200 000 records
opened in under 1 s, one million records searched in under 50 ms.
"""

import argparse
import random
import sqlite3
import statistics
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from contextlib import closing
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from functools import lru_cache
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[2]))

from voicelog.records.content import Note, Trial
from voicelog.records.entry import Affirmation, Entry, Evidence
from voicelog.records.visit import Visit
from voicelog.store import trail
from voicelog.store.base import Clip
from voicelog.store.drivers import FileKey
from voicelog.store.keys import Keys, keys_path, read_keys, write_keys
from voicelog.store.sqlite import SqliteStore
from voicelog.store.sqlite_rows import put_visit, utc
from voicelog.store.transaction import atomic
from voicelog.store.wrapping import Cost, new_file_key, wrap_typed

NINE = datetime(2020, 3, 2, 9, 0, tzinfo=UTC)
YES = Affirmation(read_back="as said", by="voice")
PER_VISIT = 20
VISITS_AT_ONCE = 500
PASSPHRASE = "four or five long words"
MOVEMENTS = [
    (side, joint, motion)
    for side in ("left", "right")
    for joint, motions in {
        "ankle": ("dorsiflexion", "plantarflexion"),
        "hip": ("flexion", "extension", "abduction"),
        "knee": ("flexion", "extension"),
        "shoulder": ("flexion", "abduction", "external rotation"),
        "wrist": ("extension", "flexion"),
    }.items()
    for motion in motions
]
PHASES = ("baseline", "gap", "compression", "retest")
QUERIES = (
    "C-0014",
    "ankle dorsiflexion",
    "left hip abduction gap",
    "C-0014 knee flexion retest",
    "marmalade",
    "shoulder",
)


@dataclass(frozen=True)
class Times:
    """One thing done many times: how long it took by the clock, and how much of it was computing
    in this process, in milliseconds; the difference is the disk, and other programs."""

    each: list[tuple[float, float]]

    def __str__(self) -> str:
        ordered = sorted(wall for wall, _ in self.each)
        computing = statistics.median(computed for _, computed in self.each)
        p95 = ordered[min(len(ordered) - 1, int(0.95 * len(ordered)))]
        middle = statistics.median(ordered)
        return (
            f"median {middle:8.2f} ms   p95 {p95:8.2f} ms"
            f"   computing {computing:8.2f} ms   (n = {len(ordered)})"
        )


def timed(do: Callable[[], object]) -> tuple[float, float]:
    """How long it takes by the clock, and in computing, in milliseconds."""
    began, computed = time.perf_counter(), time.process_time()
    do()
    return (time.perf_counter() - began) * 1000, (time.process_time() - computed) * 1000


def entry(number: int, visit: Visit, chance: random.Random) -> Entry:
    """A made-up record, as large as a spoken one."""
    side, joint, motion = chance.choice(MOVEMENTS)
    at = visit.started_at + timedelta(minutes=number % PER_VISIT)
    content: Trial | Note = Trial.model_validate(
        {"side": side, "joint": joint, "motion": motion, "phase": chance.choice(PHASES),
         "range_deg": chance.randrange(5, 120), "pain": chance.randrange(11)}
    )  # fmt: skip
    if number % 5000 == 0:
        content = Note(text="marmalade on the stairs")
    text = f"{side} {joint} {motion} gap trial sixteen degrees pain three"
    heard = Evidence(
        text=text, confidence=0.9, slot_confidence={"pain": 0.8, "range_deg": 0.9},
        alternatives=(f"{text} free",), engine="pocketsphinx", model="en-us", grammar_version="1",
    )  # fmt: skip
    return Entry(
        entry_id=f"{number:032x}", visit_id=visit.visit_id, client=visit.client,
        status="unconfirmed", content=content, spoken_at=at, at=at, by="AB", evidence=(heard,),
    )  # fmt: skip


def visits(records: int) -> Iterator[Visit]:
    """Enough visits for so many records, of 400 clients."""
    for number in range(-(-records // PER_VISIT)):
        at = NINE + timedelta(hours=number)
        yield Visit(
            visit_id=f"{at.date()}-{at.hour + 1}", client=f"C-{number % 400:04}", started_at=at,
            ended_at=at + timedelta(minutes=45),
        )  # fmt: skip


def fill(store: SqliteStore, records: int) -> None:
    """Put in affirmed records, in the very form that the store gives them, but many at once."""
    chance, db, every = random.Random(1), store._connection, list(visits(records))
    contents = [entry(n, every[0], chance).content.model_dump_json() for n in range(1, 2000)]
    rare = entry(0, every[0], chance).content.model_dump_json()
    for first in range(0, len(every), VISITS_AT_ONCE):
        rows: list[tuple[object, ...]] = []
        with atomic(db):
            for number, visit in enumerate(every[first : first + VISITS_AT_ONCE], start=first):
                put_visit(db, visit)
                for n in range(number * PER_VISIT, min(records, (number + 1) * PER_VISIT)):
                    content = chance.choice(contents) if n % 5000 else rare
                    rows += two_versions(n, visit, content)
            write(db, rows)


@lru_cache(maxsize=4)
def bodies(visit: Visit) -> tuple[str, str]:
    """The text of both versions of a record of this visit, with places for its id and content."""
    first = entry(0, visit, random.Random(3)).model_copy(
        update={"entry_id": "@ID", "content": Note(text="@CONTENT")}
    )
    return first.model_dump_json(), first.confirm(YES, first.at).model_dump_json()


def two_versions(number: int, visit: Visit, content: str) -> Iterator[tuple[object, ...]]:
    """The rows of a record: as spoken, and affirmed."""
    place, name, at = Note(text="@CONTENT").model_dump_json(), f"{number:032x}", utc(NINE)
    for version, body in enumerate(bodies(visit), start=1):
        text = body.replace("@ID", name, 1).replace(place, content, 1)
        status = "unconfirmed" if version == 1 else "confirmed"
        yield name, version, visit.visit_id, status, at, at, text


def write(db: sqlite3.Connection, rows: list[tuple[object, ...]]) -> None:
    """Write versions, and their links after the last there is."""
    db.executemany("INSERT INTO entry_version VALUES (?, ?, ?, ?, ?, ?, ?)", rows)
    end = trail.end(db)
    before, links = bytes.fromhex(end.last), []
    for number, row in enumerate(rows, start=end.links + 1):
        subject, salt = f"version/{row[0]}/{row[1]}", random.randbytes(16)
        digest = trail.digest_of(subject, salt, str(row[6]))
        before = trail.link_of(number, before, digest)
        links.append((number, subject, salt, "[]", digest, before))
    db.executemany("INSERT INTO trail VALUES (?, ?, ?, ?, ?, ?)", links)


def saves(folder: Path, key: FileKey | None, count: int) -> Times:
    """The affirmation of a record with 40 kB of sound: from the call until it is on the disk."""
    chance = random.Random(2)
    flac = Clip(chance.randbytes(40_000), "as said", 4.0)
    took = []
    with closing(SqliteStore(folder / f"save-{bool(key)}.sqlite", key=key)) as store:
        visit = store.open_visit("C-0014", NINE)
        for number in range(count):
            first = entry(number, visit, chance)
            store.append(first, [flac])
            yes = first.confirm(YES, first.at)
            took.append(timed(lambda yes=yes: store.append(yes)))  # type: ignore[misc]
    return Times(took)


def openings(path: Path, open_it: Callable[[], FileKey | None], times: int) -> Times:
    """From nothing to the records of the newest visit."""

    def once() -> None:
        with closing(SqliteStore(path, key=open_it())) as store:
            newest = store.visits("C-0014")[-1]
            assert len(store.records(newest.visit_id)) == PER_VISIT

    return Times([timed(once) for _ in range(times)])


def main() -> None:
    """Measure and print."""
    asked = arguments()
    key = new_file_key()
    with tempfile.TemporaryDirectory(prefix="store-speed-", dir=asked.folder) as name:
        folder = Path(name)
        print("A durable save (the affirmation of a record)")
        for label, use in (("plain", None), ("encrypted", key)):
            print(f"  {label:<22} {saves(folder, use, asked.saves)}", flush=True)
        print(f"Opening a store of {asked.opened:,} records, to the records of a visit")
        measure_openings(folder, key, asked.opened, asked.times)
        print(f"Searching {asked.searched:,} affirmed records, the 20 newest that fit")
        measure_searches(folder, key, asked.searched)


def measure_openings(folder: Path, key: FileKey, records: int, times: int) -> None:
    """Plain, by a key that is kept, and by a passphrase with its derivation."""
    for label, use in (("plain", None), ("encrypted", key)):
        with closing(SqliteStore(folder / f"open-{label}.sqlite", key=use)) as store:
            fill(store, records)
    path = folder / "open-encrypted.sqlite"
    write_keys(keys_path(path), Keys(ways=(wrap_typed("passphrase", PASSPHRASE, key, Cost()),)))

    def by_passphrase() -> FileKey:
        keys = read_keys(keys_path(path))
        assert keys is not None
        return keys.opened_by(PASSPHRASE)

    print(f"  {'plain':<22} {openings(folder / 'open-plain.sqlite', lambda: None, times)}")
    print(f"  {'encrypted, key kept':<22} {openings(path, lambda: key, times)}")
    print(f"  {'encrypted, passphrase':<22} {openings(path, by_passphrase, times)}", flush=True)


def measure_searches(folder: Path, key: FileKey, records: int) -> None:
    """Each query, common and rare, in an encrypted store."""
    with closing(SqliteStore(folder / "search.sqlite", key=key)) as store:
        fill(store, records)
        if records <= 20_000:
            store.check()  # what is measured is what the store itself would have written
        size_mb = store.path.stat().st_size / 1e6
        every: list[tuple[float, float]] = []
        for query in QUERIES:
            found = store.find(query)
            took = [timed(lambda query=query: store.find(query)) for _ in range(20)]  # type: ignore[misc]
            every += took
            print(f"  {query:<28} {len(found):>3} found   {Times(took)}")
        print(f"  {'all of them':<28} {'':>9}   {Times(every)}")
        print(f"  the file has {size_mb:,.0f} MB")


def arguments() -> argparse.Namespace:
    """How much of each."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else None)
    parser.add_argument("--saves", type=int, default=500)
    parser.add_argument("--opened", type=int, default=200_000)
    parser.add_argument("--times", type=int, default=20, help="how often each store is opened")
    parser.add_argument("--searched", type=int, default=1_000_000)
    parser.add_argument("--folder", type=Path, help="where to make the stores: a real disk")
    return parser.parse_args()


if __name__ == "__main__":
    main()
