"""A store that lives as long as the program: the same promises, except surviving it."""

from collections.abc import Iterable, Sequence
from datetime import datetime

from voicelog.errors import StoreError
from voicelog.records.entry import Entry, standing, waiting
from voicelog.records.facts import ClientFact, Fact
from voicelog.records.visit import Visit
from voicelog.store import rules
from voicelog.store.base import Clip, Parcel, Taken


class MemoryStore:
    """Keeps visits, entries, sound and facts in memory; for trying things out and for tests."""

    def __init__(self) -> None:
        self._visits: dict[str, Visit] = {}
        self._versions: list[Entry] = []
        self._clips: dict[tuple[str, int], tuple[Clip, ...]] = {}
        self._facts: list[ClientFact] = []
        self._open = True

    def open_visit(self, client: str, at: datetime) -> Visit:
        """Begin a visit. The id is the day of `at` and a running number."""
        self._check_open()
        visit = rules.new_visit(client, at, self._visits)
        self._visits[visit.visit_id] = visit
        return visit

    def end_visit(self, visit_id: str, at: datetime) -> Visit:
        """End a visit; one that has ended already keeps its first end."""
        self._visits[visit_id] = rules.ended(self.visit(visit_id), at)
        return self._visits[visit_id]

    def visits(self, client: str | None = None) -> tuple[Visit, ...]:
        """All visits, oldest first, of one client or of all."""
        self._check_open()
        chosen = (v for v in self._visits.values() if client in (None, v.client))
        return tuple(sorted(chosen, key=lambda v: v.started_at))

    def visit(self, visit_id: str) -> Visit:
        """One visit. Raises StoreError when there is none of that id."""
        self._check_open()
        if visit_id not in self._visits:
            raise rules.no_such_visit(visit_id)
        return self._visits[visit_id]

    def append(self, entry: Entry, clips: Sequence[Clip] = ()) -> None:
        """Keep a version and the sound that led to it; see `Store.append`."""
        self._check_open()
        self._append(rules.as_kept(entry), clips)

    def _append(self, entry: Entry, clips: Sequence[Clip]) -> bool:
        history = self.history(entry.entry_id)
        if not rules.is_new(entry, history, self._visits.get(entry.visit_id)):
            return False
        self._versions.append(entry)
        if entry.status == "dropped":
            for number in range(rules.last_confirmed(history) + 1, entry.version):
                self._clips.pop((entry.entry_id, number), None)
        else:
            self._clips[entry.entry_id, entry.version] = tuple(clips)
        return True

    def history(self, entry_id: str) -> tuple[Entry, ...]:
        """All versions of one entry, oldest first; empty when there is none."""
        self._check_open()
        return tuple(v for v in self._versions if v.entry_id == entry_id)

    def records(self, visit_id: str) -> tuple[Entry, ...]:
        """The standing (confirmed) version of each entry of a visit, in the order spoken."""
        return tuple(filter(None, map(standing, self._of_visit(visit_id))))

    def unconfirmed(self, visit_id: str) -> tuple[Entry, ...]:
        """The waiting version of each entry of a visit, in the order spoken."""
        return tuple(filter(None, map(waiting, self._of_visit(visit_id))))

    def clips(self, entry_id: str) -> tuple[Clip, ...]:
        """The sound kept with an entry, in the order spoken."""
        kept = (self._clips.get((entry_id, v.version), ()) for v in self.history(entry_id))
        return tuple(clip for clips in kept for clip in clips)

    def add_facts(self, *facts: ClientFact) -> None:
        """Put facts about clients on file; see `Store.add_facts`."""
        self._check_open()
        self._facts = list(dict.fromkeys((*self._facts, *map(rules.as_kept, facts))))

    def facts(self, client: str, kind: type[Fact]) -> tuple[Fact, ...]:
        """All facts of one kind about one client, in the order they were added."""
        self._check_open()
        return tuple(f for f in self._facts if isinstance(f, kind) and f.client == client)

    def clients(self) -> tuple[str, ...]:
        """The codes of all clients that anything is kept of, in the order of the alphabet."""
        self._check_open()
        return tuple(sorted({kept.client for kept in (*self._visits.values(), *self._facts)}))

    def parcel(self, visit_id: str) -> Parcel:
        """All that is kept of a visit. Raises StoreError when there is none of that id."""
        visit = self.visit(visit_id)
        versions = tuple(v for history in self._of_visit(visit_id) for v in history)
        keys = [(v.entry_id, v.version) for v in versions]
        return Parcel(visit, versions, {k: self._clips[k] for k in keys if self._clips.get(k)})

    def take_in(self, parcels: Iterable[Parcel], facts: Iterable[ClientFact]) -> Taken:
        """Put in what another store kept, all or none; see `Store.take_in`."""
        self._check_open()
        before = dict(self._visits), list(self._versions), dict(self._clips), list(self._facts)
        visits = versions = 0
        try:
            for parcel in parcels:
                visit = parcel.visit
                visits += visit.visit_id not in self._visits
                self._visits[visit.visit_id] = rules.merged(self._visits.get(visit.visit_id), visit)
                versions += sum(
                    self._append(v, parcel.clips.get((v.entry_id, v.version), ()))
                    for v in parcel.versions
                )
            self.add_facts(*facts)
        except BaseException:
            self._visits, self._versions, self._clips, self._facts = before
            raise
        return Taken(visits, versions, len(self._facts) - len(before[3]))

    def close(self) -> None:
        """Forget nothing, but take no more calls."""
        self._open = False

    def _of_visit(self, visit_id: str) -> tuple[rules.History, ...]:
        self._check_open()
        return rules.histories(v for v in self._versions if v.visit_id == visit_id)

    def _check_open(self) -> None:
        if not self._open:
            do = "Open it again"
            raise StoreError("The store is closed already", kept="Nothing was changed", do=do)
