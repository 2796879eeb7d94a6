"""A visit, an entry and a clip that every store is tried with."""

from datetime import datetime, timedelta, timezone

from voicelog.records.content import AnyContent, Trial
from voicelog.records.entry import Affirmation, Entry, Evidence
from voicelog.records.visit import Visit
from voicelog.store.base import Clip

NINE = datetime(2026, 3, 2, 9, 0, tzinfo=timezone(timedelta(hours=1)))


LATER = NINE + timedelta(seconds=5)


FOUR = Trial(side="left", joint="hip", motion="flexion", phase="baseline", pain=4)


FIVE = FOUR.model_copy(update={"pain": 5})


YES = Affirmation(read_back="left hip flexion, pain four", by="voice")


SOUND = Clip(b"fLaC first", "left hip flexion pain four", 2.5)


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
