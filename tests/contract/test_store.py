"""What every store promises, tried on each of them alike."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from datetime import UTC, date, datetime, timedelta, timezone
from itertools import pairwise
from pathlib import Path
from tempfile import TemporaryDirectory
from zoneinfo import ZoneInfo

import pytest
from hypothesis import HealthCheck, settings
from hypothesis import strategies as st
from hypothesis.stateful import Bundle, RuleBasedStateMachine, initialize, invariant, rule

from voicelog.errors import StaleVersion, StoreError
from voicelog.records.content import AnyContent, Cue, Drill, Note, Trial
from voicelog.records.entry import Affirmation, Entry, Evidence
from voicelog.records.visit import Visit
from voicelog.store.base import Clip, Store
from voicelog.store.drivers import FileKey
from voicelog.store.memory import MemoryStore
from voicelog.store.sqlite import SqliteStore

NINE = datetime(2026, 3, 2, 9, 0, tzinfo=timezone(timedelta(hours=1)))
LATER = NINE + timedelta(seconds=5)
FOUR = Trial(side="left", joint="hip", motion="flexion", phase="baseline", pain=4)
FIVE = FOUR.model_copy(update={"pain": 5})
YES = Affirmation(read_back="left hip flexion, pain four", by="voice")
SOUND = Clip(b"fLaC first", "left hip flexion pain four", 2.5)
SOUND_2 = Clip(b"fLaC second", "correction pain five", 1.25)


@pytest.fixture(params=["memory", "sqlite", "encrypted"])
def store(request: pytest.FixtureRequest, tmp_path: Path, file_key: FileKey) -> Iterator[Store]:
    made: Store = MemoryStore()
    if request.param != "memory":
        key = file_key if request.param == "encrypted" else None
        made = SqliteStore(tmp_path / "records.db", key=key)
    yield made
    made.close()


@pytest.fixture
def visit(store: Store) -> Visit:
    return store.open_visit("C-014", NINE)


def spoken(visit: Visit, entry_id: str = "e1", content: AnyContent = FOUR) -> Entry:
    return Entry(
        entry_id=entry_id,
        visit_id=visit.visit_id,
        client=visit.client,
        status="unconfirmed",
        content=content,
        spoken_at=NINE,
        at=NINE,
        by="AB",
        evidence=(
            Evidence(
                text="left hip flexion pain four",
                confidence=0.875,
                slot_confidence={"pain": 0.5, "side": 1.0},
                alternatives=("left hip flexion pain free",),
                engine="an engine",
                model="a model",
                grammar_version="1",
            ),
        ),
    )


def changed(entry: Entry, content: AnyContent = FIVE, newest: int | None = None) -> Entry:
    heard = entry.evidence[0].model_copy(update={"text": "correction pain five"})
    return entry.propose(content, heard, LATER, entry.version if newest is None else newest)


def test_a_visit_is_named_by_its_day_and_a_running_number(store: Store) -> None:
    # The day is a calendar date as ISO 8601 writes it (YYYY-MM-DD), where the visit takes place.
    first = store.open_visit("C-014", NINE)
    assert first.visit_id == "2026-03-02-1"
    assert date.fromisoformat(first.visit_id.rsplit("-", 1)[0]) == NINE.date()
    for number in range(2, 12):
        assert store.open_visit("C-015", NINE).visit_id == f"2026-03-02-{number}"
    just_past_midnight = datetime(2026, 3, 3, 0, 10, tzinfo=timezone(timedelta(hours=1)))
    assert store.open_visit("C-014", just_past_midnight).visit_id == "2026-03-03-1"


def test_visits_come_oldest_first_of_one_client_or_of_all(store: Store) -> None:
    late = store.open_visit("C-014", LATER)
    early = store.open_visit("C-015", NINE)
    assert store.visits() == (early, late)
    assert store.visits("C-014") == (late,)
    assert store.visits("C-999") == ()
    assert store.visit(late.visit_id) == late


def test_a_visit_ends_once(store: Store, visit: Visit) -> None:
    ended = store.end_visit(visit.visit_id, LATER)
    assert ended.ended_at == LATER
    assert store.end_visit(visit.visit_id, LATER + timedelta(hours=1)) == ended
    assert store.visit(visit.visit_id) == ended


@pytest.mark.parametrize("client", ["", "../C-014", "C 014", "<b>", "C-014/x", "x" * 33])
def test_what_is_no_client_code_opens_no_visit(store: Store, client: str) -> None:
    with pytest.raises(StoreError, match="no client code"):
        store.open_visit(client, NINE)
    assert store.visits() == ()


def test_an_unknown_visit_is_an_error_that_says_what_to_do(store: Store) -> None:
    unknown = Visit(visit_id="2026-03-02-9", client="C-014", started_at=NINE)
    for call in (
        lambda: store.visit(unknown.visit_id),
        lambda: store.end_visit(unknown.visit_id, LATER),
        lambda: store.append(spoken(unknown)),
    ):
        with pytest.raises(StoreError, match="no visit 2026-03-02-9") as caught:
            call()
        assert caught.value.kept
        assert caught.value.do
    assert store.records(unknown.visit_id) == ()
    assert store.unconfirmed(unknown.visit_id) == ()
    assert store.history("e1") == ()
    assert store.clips("e1") == ()


def test_an_entry_of_another_client_is_refused(store: Store, visit: Visit) -> None:
    stray = spoken(visit).model_copy(update={"client": "C-015"})
    with pytest.raises(StoreError, match="another client"):
        store.append(stray)
    assert store.history("e1") == ()


def test_a_dictation_waits_until_affirmed_and_then_stands(store: Store, visit: Visit) -> None:
    first = spoken(visit)
    store.append(first, [SOUND])
    assert store.unconfirmed(visit.visit_id) == (first,)
    assert store.records(visit.visit_id) == ()
    confirmed = first.confirm(YES, LATER)
    store.append(confirmed)
    assert store.unconfirmed(visit.visit_id) == ()
    assert store.records(visit.visit_id) == (confirmed,)
    assert store.history("e1") == (first, confirmed)
    assert store.clips("e1") == (SOUND,)


def test_an_amendment_waits_beside_the_record_it_would_change(store: Store, visit: Visit) -> None:
    first = spoken(visit)
    confirmed = first.confirm(YES, LATER)
    amended = changed(confirmed)
    for version in (first, confirmed, amended):
        store.append(version)
    assert store.records(visit.visit_id) == (confirmed,)
    assert store.unconfirmed(visit.visit_id) == (amended,)
    store.append(amended.confirm(YES, LATER))
    assert [e.content for e in store.records(visit.visit_id)] == [FIVE]
    assert store.unconfirmed(visit.visit_id) == ()


def test_entries_come_in_the_order_spoken_whatever_their_zone(store: Store, visit: Visit) -> None:
    noon_utc = spoken(visit, "b").model_copy(
        update={"spoken_at": datetime(2026, 3, 2, 12, 0, tzinfo=UTC)}
    )
    earlier_but_later_on_the_wall = spoken(visit, "c").model_copy(
        update={"spoken_at": datetime(2026, 3, 2, 13, 30, tzinfo=timezone(timedelta(hours=2)))}
    )
    for entry in (noon_utc, earlier_but_later_on_the_wall):
        store.append(entry)
        store.append(entry.confirm(YES, LATER))
    assert [e.entry_id for e in store.records(visit.visit_id)] == ["c", "b"]


def test_times_in_the_hour_the_clocks_repeat_still_follow_each_other(
    store: Store, visit: Visit
) -> None:
    # PEP 495: a time in a repeated hour never equals one of another zone, not even itself.
    repeated = datetime(2026, 10, 25, 2, 30, tzinfo=ZoneInfo("Europe/Amsterdam"), fold=1)
    first = spoken(visit).model_copy(update={"spoken_at": repeated, "at": repeated})
    store.append(first)
    store.append(first)
    store.append(first.confirm(YES, repeated))
    (kept,) = store.records(visit.visit_id)
    assert kept.spoken_at.isoformat() == "2026-10-25T02:30:00+01:00"


def test_repeating_a_call_of_uncertain_outcome_does_nothing(store: Store, visit: Visit) -> None:
    first = spoken(visit)
    confirmed = first.confirm(YES, LATER)
    for version in (first, first, confirmed, confirmed, first):
        store.append(version, [SOUND] if version is first else [])
    assert store.history("e1") == (first, confirmed)
    assert store.clips("e1") == (SOUND,)


def test_a_second_hand_is_told_and_overwrites_nothing(store: Store, visit: Visit) -> None:
    first = spoken(visit)
    store.append(first, [SOUND])
    one = changed(first)
    other = changed(first, Note(text="something else"))
    store.append(one)
    with pytest.raises(StaleVersion):
        store.append(other, [SOUND_2])
    assert store.history("e1") == (first, one)
    assert store.clips("e1") == (SOUND,)


def test_other_values_than_those_read_back_are_never_confirmed(store: Store, visit: Visit) -> None:
    first = spoken(visit)
    store.append(first)
    with pytest.raises(StoreError):
        store.append(first.confirm(YES, LATER).model_copy(update={"content": FIVE}))
    assert store.records(visit.visit_id) == ()
    assert store.unconfirmed(visit.visit_id) == (first,)


def test_a_disregarded_dictation_takes_all_its_sound_away(store: Store, visit: Visit) -> None:
    first = spoken(visit)
    corrected = changed(first)
    store.append(first, [SOUND])
    store.append(corrected, [SOUND_2])
    assert store.clips("e1") == (SOUND, SOUND_2)
    store.append(corrected.drop(LATER, "disregard"), [SOUND])
    assert store.clips("e1") == ()
    assert store.unconfirmed(visit.visit_id) == ()
    assert len(store.history("e1")) == 3


def test_a_disregarded_amendment_leaves_the_sound_of_the_record(store: Store, visit: Visit) -> None:
    first = spoken(visit)
    confirmed = first.confirm(YES, LATER)
    amended = changed(confirmed)
    store.append(first, [SOUND])
    store.append(confirmed)
    store.append(amended, [SOUND_2])
    store.append(amended.drop(LATER, "disregard"))
    assert store.clips("e1") == (SOUND,)
    assert store.records(visit.visit_id) == (confirmed,)


def test_a_closed_store_says_so_and_closes_again(store: Store) -> None:
    store.close()
    store.close()
    for call in (
        lambda: store.open_visit("C-014", NINE),
        lambda: store.visits(),
        lambda: store.visit("2026-03-02-1"),
        lambda: store.history("e1"),
        lambda: store.records("2026-03-02-1"),
        lambda: store.clips("e1"),
    ):
        with pytest.raises(StoreError, match="closed"):
            call()


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
