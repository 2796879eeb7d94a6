"""How well typed shorthand is read: run `python tests/benchmarks/shorthand.py`.

Every slot of every line in `tests/data/shorthand` is held against its truth, which was written by
hand. "right": the same value, without a doubt, or in doubt where the truth says so. "marked":
doubtful where it need not have been. "missed": nothing was read, and the words are shown as unread.
"wrong": another value, or one where there is none, or a value without the doubt that it needs. The
share of right slots comes with its 95 % Wilson interval. The time to read one line is in
milliseconds (5th, 50th, 95th percentile), after spaCy is loaded.
"""

import csv
import re
import time
from collections import Counter
from collections.abc import Iterator
from pathlib import Path
from typing import NamedTuple

import numpy as np

from voicelog.analysis.wilson import share
from voicelog.data_files.languages import language_folder, load_language
from voicelog.grammar.parse import SlotValue
from voicelog.shorthand import Reading, Shorthand

LINES = Path(__file__).parents[1] / "data" / "shorthand"
FILES = ("tuned", "held_out", "messy")


class Line(NamedTuple):
    """A typed line and what a therapist means by it."""

    typed: str
    kind: str | None
    slots: dict[str, SlotValue]
    doubtful: set[str]
    unread: list[str]


def lines(name: str) -> list[Line]:
    """The lines of one file."""
    with (LINES / f"{name}.csv").open(encoding="utf-8", newline="") as file:
        rows = csv.DictReader(file, delimiter="|", quoting=csv.QUOTE_NONE)
        return [_line(row) for row in rows]


def _line(row: dict[str, str]) -> Line:
    pairs = [part.split(": ", 1) for part in _parts(row["slots"])]
    slots = {slot: _value(slot, text) for slot, text in pairs}
    return Line(
        typed=row["typed"],
        kind=row["kind"] or None,
        slots=slots,
        doubtful=set(_parts(row["doubtful"])),
        unread=re.findall(r"\w+", row["unread"]),
    )


def _parts(cell: str) -> list[str]:
    return [part.strip() for part in cell.split(";") if part.strip()]


def _value(slot: str, text: str) -> SlotValue:
    if slot == "quality":
        return tuple(text.split(" + "))
    return int(text) if text.isdigit() else text


def unread(line: Line, reading: Reading) -> list[str]:
    """The words that are shown as unread."""
    return [word for at in reading.unread for word in re.findall(r"\w+", line.typed[slice(*at)])]


def scores(line: Line, reading: Reading) -> Iterator[tuple[str, str]]:
    """Each slot with "right", "marked", "missed" or "wrong"; the kind counts as one."""
    meant = {**line.slots, **({"kind": line.kind} if line.kind else {})}
    read = {**reading.slots, **({"kind": reading.kind} if reading.kind else {})}
    for slot in sorted({*meant, *read, *line.doubtful, *reading.doubtful}):
        yield slot, _score(slot, meant, read, line.doubtful, reading.doubtful)


def _score(
    slot: str,
    meant: dict[str, SlotValue],
    read: dict[str, SlotValue],
    doubt_meant: set[str],
    doubt_read: tuple[str, ...],
) -> str:
    if slot in doubt_read:
        same = slot not in meant or meant[slot] == read.get(slot)
        return "right" if slot in doubt_meant and same else "marked"
    if slot not in read:
        return "missed"
    return "right" if slot not in doubt_meant and meant.get(slot) == read[slot] else "wrong"


def main() -> None:
    """Print the figures of each file, and of all."""
    shorthand = Shorthand(load_language(language_folder()))
    times_ms: list[float] = []
    total: Counter[str] = Counter()
    whole = 0
    everything = [(name, line) for name in FILES for line in lines(name)]
    for name in FILES:
        counts: Counter[str] = Counter()
        exact = 0
        mine = [line for of, line in everything if of == name]
        for line in mine:
            started = time.perf_counter()
            reading = shorthand.read(line.typed)
            times_ms.append((time.perf_counter() - started) * 1000)
            marks = list(scores(line, reading))
            counts.update(mark for _, mark in marks)
            complete = all(mark == "right" for _, mark in marks)
            exact += complete and unread(line, reading) == line.unread
        report(name, counts, exact, len(mine))
        total += counts
        whole += exact
    report("all", total, whole, len(everything))
    low, middle, high = np.percentile(times_ms, (5, 50, 95))
    print(f"a line in {low:.1f} / {middle:.1f} / {high:.1f} ms, at most {max(times_ms):.1f} ms")


def report(name: str, counts: Counter[str], exact: int, count: int) -> None:
    """Print one line of figures for slots, and one for whole lines."""
    right = share(counts["right"], counts.total())
    whole = share(exact, count)
    print(
        f"{name:9} slots {right.count}/{right.total} right "
        f"({100 * (right.share or 0):.1f} %, {100 * right.low:.1f} to {100 * right.high:.1f}), "
        f"{counts['marked']} marked, {counts['missed']} missed, {counts['wrong']} wrong; "
        f"lines {exact}/{count} whole "
        f"({100 * (whole.share or 0):.1f} %, {100 * whole.low:.1f} to {100 * whole.high:.1f})"
    )


if __name__ == "__main__":
    main()
