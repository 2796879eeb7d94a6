"""What was announced of one file of records, and in what the file differs from it."""

import sys
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import datetime
from pathlib import Path

ROOT = Path(__file__).parents[2]
sys.path.insert(0, str(ROOT))

from tests.reliability.dictation import CLIENT, mark_of  # noqa: E402
from voicelog.store.base import Store  # noqa: E402
from voicelog.visits import open_visit, state_of  # noqa: E402
from voicelog.wiring import House  # noqa: E402


@dataclass
class Round:
    """What one process announced, in order."""

    visit_id: str = ""
    taken_up: bool = False
    kept: list[tuple[str, int, str, str]] = field(default_factory=list)
    saved: list[tuple[str, int, str, str]] = field(default_factory=list)
    said: int = 0
    failed: int = 0
    log_bytes: list[int] = field(default_factory=list)
    took_ms: list[float] = field(default_factory=list)
    announced_too_early: int = 0

    def take(self, words: list[str]) -> None:
        """One line of the process."""
        match words:
            case ["visit", visit_id, how]:
                self.visit_id, self.taken_up = visit_id, how == "again"
            case ["kept", entry_id, version, status, mark, size, took_ms]:
                self.kept.append((entry_id, int(version), status, mark))
                self.log_bytes.append(int(size))
                self.took_ms.append(float(took_ms))
            case ["saved", entry_id, version, status, mark]:
                step = (entry_id, int(version), status, mark)
                self.saved.append(step)
                self.announced_too_early += step not in self.kept
            case ["said"]:
                self.said += 1
                self.announced_too_early += self.said > len(self.saved)
            case ["trouble", *_]:
                self.failed += 1


class Ledger:
    """Everything that was ever announced of one file of records with one visit in it."""

    def __init__(self, built: House) -> None:
        self._built = built
        self._steps: dict[tuple[str, int], tuple[str, str]] = {}
        self._order: list[str] = []
        self._visit_id = ""
        self._rounds = 0

    def enter(self, found: Round) -> Iterator[str]:
        """Take in what one process announced; yields what is wrong with it in itself."""
        self._rounds += 1
        for entry_id, version, status, mark in found.kept:
            self._steps[entry_id, version] = (status, mark)
            if version == 1:
                self._order.append(entry_id)
        yield from ["announced before it was kept"] * found.announced_too_early
        if self._visit_id and found.visit_id not in ("", self._visit_id):
            yield "the visit was not taken up"
        self._visit_id = self._visit_id or found.visit_id

    def losses(self, store: Store, at: datetime) -> Iterator[str]:
        """Everything in which the store, opened again at that time, differs."""
        if not self._visit_id:
            return
        records = [entry.entry_id for entry in store.records(self._visit_id)]
        waiting = [entry.entry_id for entry in store.unconfirmed(self._visit_id)]
        for ids in (records, waiting):
            yield from (f"{e} is there twice" for e, count in Counter(ids).items() if count > 1)
        yield from self._versions(store)
        yield from self._standing(store, set(records), set(waiting))
        known = {entry_id for entry_id, _ in self._steps}
        if len((set(records) | set(waiting)) - known) > self._rounds:
            yield "more was kept than one step a kill that nobody heard of"
        if [e for e in records if e in known] != [e for e in self._order if e in set(records)]:
            yield "records are not in the order spoken"
        yield from self._resumes(store, at, set(records))

    def _versions(self, store: Store) -> Iterator[str]:
        for (entry_id, version), (status, mark) in self._steps.items():
            kept = [v for v in store.history(entry_id) if v.version == version]
            if [(v.status, mark_of(v)) for v in kept] != [(status, mark)]:
                yield f"{status} version {version} of {entry_id} is not there"

    def _standing(self, store: Store, records: set[str], waiting: set[str]) -> Iterator[str]:
        for entry_id in {entry_id for entry_id, _ in self._steps}:
            said = {version: s for (e, version), (s, _) in self._steps.items() if e == entry_id}
            if "confirmed" in said.values() and entry_id not in records:
                yield f"{entry_id} was affirmed and is no record"
            newest = len(store.history(entry_id))
            if said.get(newest) == "unconfirmed" and entry_id not in waiting:
                yield f"{entry_id} was dictated and does not wait"

    def _resumes(self, store: Store, at: datetime, records: set[str]) -> Iterator[str]:
        opened = open_visit(store, CLIENT, at)
        state = state_of(store, opened.visit, self._built.setting)
        same = {entry.entry_id for entry in state.records} == records
        if opened.visit.visit_id != self._visit_id or not opened.taken_up or not same:
            yield "the visit cannot be taken up"
