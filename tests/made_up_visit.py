"""A made-up visit with one record of every kind, and what a format makes of it."""

import csv
import io
from datetime import datetime, timedelta, timezone
from functools import partial

from voicelog.data_files.languages import language_folder, load_language
from voicelog.exports import load
from voicelog.exports.base import VisitRecords
from voicelog.records.content import AnyContent, Cue, Drill, Fault, Note, Trial
from voicelog.records.entry import Affirmation, Entry, Evidence
from voicelog.records.visit import Visit

made = partial(VisitRecords, language=load_language(language_folder()))


NINE = datetime(2026, 3, 2, 9, 0, tzinfo=timezone(timedelta(hours=1)))


VISIT = Visit(
    visit_id="2026-03-02-1",
    client="C-014",
    started_at=NINE,
    ended_at=NINE + timedelta(minutes=42),
)


BASELINE = Trial(
    side="left",
    joint="ankle",
    motion="dorsiflexion",
    phase="baseline",
    range_deg=15,
    onset_deg=12,
    pain=6,
    quality=("sharp", "pinching"),
    end_feel="firm",
    manner="weight bearing",
    position="half kneeling",
    instrument="inclinometer",
)


GAP = BASELINE.model_copy(
    update={"phase": "gap", "range_deg": 0, "onset_deg": None, "pain": 0, "quality": ()}
)


SPINE = Trial(joint="neck", motion="rotation", phase="retest", outcome="pain free rep")


DRILL = Drill(
    name="banded heel glide", side="left", sets=3, reps=8, hold_s=5, band="light", effort=4
)


WAITING = Trial(side="right", joint="hip", motion="flexion", phase="gap", pain=9)


def entry(content: AnyContent, number: int, how: str = "voice", by: str = "AB") -> Entry:
    first = Entry(
        entry_id=f"e{number}",
        visit_id=VISIT.visit_id,
        client=VISIT.client,
        status="unconfirmed",
        content=content,
        spoken_at=NINE + timedelta(minutes=number),
        at=NINE + timedelta(minutes=number),
        by=by,
        evidence=(
            Evidence(
                text=f"words {number}",
                confidence=0.75,
                engine="an engine",
                model="a model",
                grammar_version="1",
            ),
        ),
    )
    if how == "not":
        return first
    yes = Affirmation.model_validate({"read_back": f"read back {number}", "by": how})
    return first.confirm(yes, NINE + timedelta(minutes=number, seconds=5))


RECORDS = (
    entry(BASELINE, 1),
    entry(GAP, 2, "key"),
    entry(SPINE, 3),
    entry(DRILL, 4),
    entry(Drill(name="wall slide", sets=1), 5, "desk", "CD"),
    entry(Fault(name="heel lifting"), 6),
    entry(Cue(name="press the heel down"), 7),
    entry(Note(text="guarded at first"), 8),
    entry(Note(text="slept badly", checked=True), 9),
)


WHOLE = made(VISIT, RECORDS)


WITH_UNCONFIRMED = made(VISIT, RECORDS, (entry(WAITING, 10, "not"),))


EMPTY = made(VISIT.model_copy(update={"ended_at": None}), ())


def one(content: AnyContent) -> VisitRecords:
    return made(VISIT, (entry(content, 1),))


def text_of(name: str, visit: VisitRecords) -> str:
    """A format that is text."""
    content = load(name).render(visit)
    assert isinstance(content, str)
    return content


def table(text: str) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(text, newline=""), strict=True))
