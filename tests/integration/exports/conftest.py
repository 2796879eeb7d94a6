"""A small practice in a store on disk: two clients, corrections, sound, and a safety screen."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import date, datetime, timedelta, timezone
from pathlib import Path

import numpy as np
import pytest

from voicelog.archive.writing import write_archive
from voicelog.audio.clips import to_flac
from voicelog.exports.base import VisitRecords
from voicelog.handover import Wish, hand_over
from voicelog.records.content import AnyContent, Cue, Drill, Fault, Note, Trial
from voicelog.records.entry import Affirmation, Entry, Evidence
from voicelog.records.scales import Activity, FunctionScore
from voicelog.records.screen import Clearance, ScreenAnswer
from voicelog.records.visit import Visit
from voicelog.settings.fields import Settings
from voicelog.store.base import Clip, Store
from voicelog.store.sqlite import SqliteStore
from voicelog.wiring import House

NINE = datetime(2026, 3, 2, 9, 0, tzinfo=timezone(timedelta(hours=1)))
ANKLE = Trial(
    side="left", joint="ankle", motion="dorsiflexion", phase="baseline", onset_deg=12,
    pain=6, quality=("sharp",), end_feel="firm", manner="weight bearing", instrument="inclinometer",
)  # fmt: skip
KNEE = Trial(
    side="left", joint="knee", motion="flexion", phase="baseline", range_deg=120, pain=2,
    manner="active", instrument="goniometer",
)  # fmt: skip
SHOULDER = Trial(
    side="right", joint="shoulder", motion="internal rotation", phase="retest", range_deg=60,
    pain=1, manner="passive",
)  # fmt: skip
DRILL = Drill(name="banded heel glide", side="left", sets=3, reps=8, hold_s=5, band="light")


@dataclass
class Practice:
    """The store, and hands to write into it as the tool does."""

    store: Store
    house: House
    count: int = 0

    def say(
        self, visit: Visit, content: AnyContent, *, affirmed: bool = True, heard: str = "words"
    ) -> Entry:
        """Dictate, with sound, and affirm."""
        self.count += 1
        at = visit.started_at + timedelta(minutes=self.count)
        entry = Entry(
            entry_id=f"{self.count:032x}",
            visit_id=visit.visit_id,
            client=visit.client,
            status="unconfirmed",
            content=content,
            spoken_at=at,
            at=at,
            by="AB",
            evidence=(_evidence(heard),),
        )
        self.store.append(entry, (self._clip(heard),))
        if not affirmed:
            return entry
        confirmed = entry.confirm(Affirmation(read_back="read", by="voice"), at + _moment(5))
        self.store.append(confirmed)
        return confirmed

    def correct(self, entry: Entry, content: AnyContent, by: str = "CD") -> Entry:
        """Change a record at the desk, by somebody else."""
        newest = self.store.history(entry.entry_id)[-1]
        at = newest.at + timedelta(hours=8)
        changed = entry.propose(content, _evidence("typed"), at, newest.version)
        changed = changed.model_copy(update={"by": by, "why": "misheard"})
        self.store.append(changed)
        confirmed = changed.confirm(Affirmation(read_back="read", by="desk"), at)
        self.store.append(confirmed)
        return confirmed

    def hand_over(self, visit: Visit, wish: Wish | None = None) -> VisitRecords:
        """The visit as every export takes it."""
        return hand_over(self.house, self.store, visit, wish or Wish())

    def _clip(self, heard: str) -> Clip:
        sound = np.arange(800, dtype=np.int16) * self.count
        return Clip(to_flac(sound), heard, 0.05)


def _evidence(text: str) -> Evidence:
    return Evidence(text=text, confidence=0.9, engine="e", model="m", grammar_version="1")


def _moment(seconds: int) -> timedelta:
    return timedelta(seconds=seconds)


def fill(practice: Practice) -> Visit:
    """Two visits of one client, the second with everything in it; one visit of another client."""
    store = practice.store
    before = store.open_visit("C-014", NINE - timedelta(days=7))
    practice.say(before, ANKLE.model_copy(update={"pain": 8, "range_deg": 8}))
    store.end_visit(before.visit_id, before.started_at + timedelta(minutes=30))
    other = store.open_visit("C-7", NINE - timedelta(hours=2))
    practice.say(other, KNEE)
    visit = store.open_visit("C-014", NINE)
    practice.say(visit, ANKLE)
    practice.say(visit, ANKLE.model_copy(update={"phase": "gap", "pain": 3, "quality": ()}))
    practice.say(
        visit,
        ANKLE.model_copy(update={"phase": "gap", "range_deg": 20, "onset_deg": None, "pain": 2}),
    )
    misheard = practice.say(visit, KNEE.model_copy(update={"range_deg": 112}))
    practice.correct(misheard, KNEE)
    practice.say(visit, SHOULDER)
    practice.say(visit, DRILL)
    practice.say(visit, Drill(name="wall slide"))
    practice.say(visit, Fault(name="heel lifting"))
    practice.say(visit, Cue(name="press the heel down"))
    practice.say(visit, Note(text="c 014 slept badly, as C-7 did"), heard="note c014 slept badly")
    practice.say(visit, KNEE.model_copy(update={"joint": "hip", "pain": 9}), affirmed=False)
    dropped = practice.say(visit, KNEE.model_copy(update={"joint": "wrist"}), affirmed=False)
    store.append(dropped.drop(dropped.at + _moment(3), "disregard"))
    withdrawn = practice.say(visit, KNEE.model_copy(update={"joint": "elbow"}))
    store.append(withdrawn.withdraw(withdrawn.at + _moment(60), "of another client"))
    store.add_facts(*_facts())
    return store.end_visit(visit.visit_id, NINE + timedelta(minutes=42))


def _facts() -> tuple[ScreenAnswer | Clearance | FunctionScore, ...]:
    asked = ScreenAnswer(client="C-014", item="A1", answer="yes", asked_by="AB", asked_at=NINE)
    given = Clearance(
        client="C-014", items=("A1",), given_by="the surgeon of C-014", given_on=date(2026, 3, 2),
        entered_by="AB", entered_at=NINE, limits="C014 may not load overhead",
    )  # fmt: skip
    activities = tuple(Activity(name=name, score=4) for name in ("stairs", "run", "sit"))
    score = FunctionScore(client="C-9", at=NINE, by="AB", region="knee", activities=activities)
    return asked, given, score


@pytest.fixture
def make(tmp_path: Path) -> Iterator[Callable[[str], Practice]]:
    """`make(name)`: an empty practice with a store of its own."""
    made: list[Practice] = []

    def new(name: str) -> Practice:
        settings = Settings(data_folder=tmp_path / name)
        made.append(Practice(SqliteStore(settings.store_file), House(settings)))
        return made[-1]

    yield new
    for practice in made:
        practice.store.close()


@pytest.fixture
def filled(make: Callable[[str], Practice]) -> tuple[Practice, Visit]:
    """A practice with two clients, and the visit that has everything in it."""
    practice = make("practice")
    return practice, fill(practice)


@pytest.fixture
def archive(filled: tuple[Practice, Visit], tmp_path: Path) -> Path:
    path = tmp_path / "all.zip"
    write_archive(filled[0].store, path, None, sound=True)
    return path
