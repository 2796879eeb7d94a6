"""Calls in any order leave every store as a plain list of versions would be."""

from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import UTC, datetime
from itertools import pairwise
from pathlib import Path
from tempfile import TemporaryDirectory

import pytest
from hypothesis import HealthCheck, settings
from hypothesis import strategies as st
from hypothesis.stateful import Bundle, RuleBasedStateMachine, initialize, invariant, rule

from tests.contract.store_samples import LATER, NINE, SOUND, YES, changed, spoken
from voicelog.errors import StaleVersion, StoreError
from voicelog.records.content import AnyContent, Cue, Drill, Note, Trial
from voicelog.records.entry import Entry
from voicelog.store.base import Clip, Store
from voicelog.store.drivers import FileKey
from voicelog.store.memory import MemoryStore
from voicelog.store.sqlite import SqliteStore

CONTENTS: st.SearchStrategy[AnyContent] = st.one_of(
    st.builds(Trial, pain=st.none() | st.integers(0, 10), quality=st.just(("sharp", "dull"))),
    st.builds(Drill, name=st.text(max_size=8), sets=st.none() | st.integers(1, 20)),
    st.builds(Cue, name=st.text(max_size=8)),
    st.builds(Note, text=st.text(max_size=20)),
)


HEARD = st.lists(
    st.builds(Clip, st.binary(max_size=8), st.text(max_size=8), st.floats(0, 60)), max_size=2
)


MOMENTS = st.datetimes(datetime(2026, 1, 1), datetime(2026, 12, 31), timezones=st.timezones())


@dataclass
class Expected:
    """What must be found of one entry, kept by hand at every step rather than worked out."""

    newest: Entry
    spoken: tuple[datetime, str]
    record: AnyContent | None = None
    waits: AnyContent | None = None
    clips_of_record: list[Clip] = field(default_factory=list)
    clips_waiting: list[Clip] = field(default_factory=list)
    versions: int = 1


class Versions(RuleBasedStateMachine):
    """Any sequence of versions, allowed or not, against a model of a few lines."""

    entry_ids = Bundle("entry_ids")

    def __init__(self) -> None:
        super().__init__()
        self.folder = TemporaryDirectory()
        self.store: Store = self.make()
        self.model: dict[str, Expected] = {}

    def make(self) -> Store:
        raise NotImplementedError

    @initialize()
    def begin(self) -> None:
        self.visit = self.store.open_visit("C-014", NINE)

    @rule(target=entry_ids, content=CONTENTS, clips=HEARD, at=MOMENTS)
    def dictate(self, content: AnyContent, clips: list[Clip], at: datetime) -> str:
        entry_id = f"e{len(self.model):03}"
        entry = spoken(self.visit, entry_id, content).model_copy(update={"spoken_at": at})
        self.store.append(entry, clips)
        self.model[entry_id] = Expected(
            entry, (at.astimezone(UTC), entry_id), waits=content, clips_waiting=list(clips)
        )
        return entry_id

    @rule(entry_id=entry_ids, content=CONTENTS, clips=HEARD)
    def propose(self, entry_id: str, content: AnyContent, clips: list[Clip]) -> None:
        it = self.model[entry_id]
        if self._append(it, changed(it.newest, content), clips):
            it.waits = content
            it.clips_waiting += clips

    @rule(entry_id=entry_ids)
    def affirm(self, entry_id: str) -> None:
        it = self.model[entry_id]
        waits = it.waits
        if self._append(it, it.newest.confirm(YES, LATER), [], allowed=waits is not None):
            it.record, it.waits = waits, None
            it.clips_of_record += it.clips_waiting
            it.clips_waiting = []

    @rule(entry_id=entry_ids, content=CONTENTS)
    def affirm_other_values(self, entry_id: str, content: AnyContent) -> None:
        it = self.model[entry_id]
        if content != it.newest.content:
            sly = it.newest.confirm(YES, LATER).model_copy(update={"content": content})
            self._append(it, sly, [SOUND], allowed=False)

    @rule(entry_id=entry_ids)
    def disregard(self, entry_id: str) -> None:
        it = self.model[entry_id]
        if self._append(it, it.newest.drop(LATER, "no"), [SOUND], allowed=it.waits is not None):
            it.waits = None
            it.clips_waiting = []

    @rule(entry_id=entry_ids)
    def withdraw(self, entry_id: str) -> None:
        it = self.model[entry_id]
        if self._append(it, it.newest.withdraw(LATER, "wrong client"), []):
            it.record = it.waits = None

    @rule(entry_id=entry_ids, content=CONTENTS, back=st.integers(1, 3))
    def write_from_an_older_version(self, entry_id: str, content: AnyContent, back: int) -> None:
        it = self.model[entry_id]
        if it.versions > back:
            late = changed(it.newest, content, it.versions - back)
            with pytest.raises(StaleVersion):
                self.store.append(late.model_copy(update={"why": "too late"}), [SOUND])

    @rule(entry_id=entry_ids)
    def repeat_every_version(self, entry_id: str) -> None:
        for version in self.store.history(entry_id):
            self.store.append(version, [SOUND])

    @rule()
    def reopen(self) -> None:
        if isinstance(self.store, SqliteStore):
            self.store.close()
            self.store = self.make()

    @invariant()
    def every_view_is_as_expected(self) -> None:
        if not self.model:
            return
        in_order = sorted(self.model.values(), key=lambda it: it.spoken)
        records = self.store.records(self.visit.visit_id)
        waits = self.store.unconfirmed(self.visit.visit_id)
        assert [e.content for e in records] == [i.record for i in in_order if i.record is not None]
        assert [e.content for e in waits] == [i.waits for i in in_order if i.waits is not None]
        for entry_id, it in self.model.items():
            self._check_history(self.store.history(entry_id), it)
            assert list(self.store.clips(entry_id)) == it.clips_of_record + it.clips_waiting

    def teardown(self) -> None:
        self.store.close()
        self.folder.cleanup()

    def _check_history(self, history: tuple[Entry, ...], it: Expected) -> None:
        assert [v.version for v in history] == list(range(1, it.versions + 1))
        for before, after in pairwise(history):
            if after.status == "confirmed":
                assert (before.status, before.content) == ("unconfirmed", after.content)

    def _append(self, it: Expected, after: Entry, clips: list[Clip], allowed: bool = True) -> bool:
        if not allowed or it.newest.status == "withdrawn":
            with pytest.raises(StoreError):
                self.store.append(after, clips)
            return False
        self.store.append(after, clips)
        it.newest, it.versions = after, it.versions + 1
        return True


def machine(make: Callable[[Versions], Store], examples: int) -> type[Versions]:
    class Made(Versions):
        def make(self) -> Store:
            return make(self)

    Made.TestCase.settings = settings(
        max_examples=examples,
        stateful_step_count=20,
        deadline=None,
        suppress_health_check=[HealthCheck.too_slow],
    )
    return Made


TestMemoryVersions = machine(lambda _: MemoryStore(), 30).TestCase


TestSqliteVersions = machine(
    lambda test: SqliteStore(Path(test.folder.name) / "records.db"), 15
).TestCase


TestEncryptedVersions = machine(
    lambda test: SqliteStore(
        Path(test.folder.name) / "records.db", key=FileKey(bytes(range(1, 49)))
    ),
    10,
).TestCase
