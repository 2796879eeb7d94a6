"""What the exports say of comparisons and the safety screen, read back by independent parsers."""

import json
import re
from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from typing import Any

import pytest
from markdown_it import MarkdownIt
from markdown_it.tree import SyntaxTreeNode

from voicelog.analysis.comparison import Comparer
from voicelog.analysis.findings import OnFile, findings
from voicelog.data_files.languages import language_folder, load_language
from voicelog.data_files.reference_tables import load_tables
from voicelog.exports import load
from voicelog.exports.base import VisitRecords
from voicelog.records.content import Note, Trial
from voicelog.records.entry import Affirmation, Entry
from voicelog.records.screen import ScreenAnswer
from voicelog.records.visit import Visit

NINE = datetime(2026, 3, 2, 9, 0, tzinfo=UTC)
VISIT = Visit(
    visit_id="2026-03-02-1", client="C-014", started_at=NINE, ended_at=NINE + timedelta(minutes=42)
)


def entry(name: str, minute: int, **slots: Any) -> Entry:
    at = NINE + timedelta(minutes=minute)
    return Entry(
        entry_id=name,
        visit_id=VISIT.visit_id,
        client=VISIT.client,
        version=2,
        status="confirmed",
        content=Trial(**{"side": "left", "joint": "knee", "motion": "flexion", **slots}),
        spoken_at=at,
        at=at,
        by="AB",
        affirmed=Affirmation(read_back="as said", by="voice"),
    )


RECORDS = (
    entry("aa", 1, phase="baseline", pain=6, range_deg=90, instrument="goniometer"),
    entry("bb", 2, phase="gap", pain=3, range_deg=110, instrument="goniometer"),
    entry("cc", 3, phase="compression", pain=8, quality=("numb",)),
)
WAITING = entry("dd", 4, phase="retest", pain=0).model_copy(
    update={"status": "unconfirmed", "affirmed": None, "version": 1}
)


@pytest.fixture
def whole() -> Callable[..., VisitRecords]:
    """The visit with its findings; each keyword is an answer of the screen, all others are no."""
    tables = load_tables()

    def make(records: tuple[Entry, ...] = RECORDS, **but: str) -> VisitRecords:
        answers = tuple(
            ScreenAnswer.model_validate(
                {
                    "client": "C-014",
                    "item": item.id,
                    "answer": but.get(item.id, "no"),
                    "asked_by": "A*B",
                    "asked_at": NINE,
                }
            )
            for item in tables.screen
        )
        on_file = OnFile(tables.screen, answers, ())
        return VisitRecords(
            VISIT,
            records,
            (WAITING,),
            findings(VISIT, records, on_file, Comparer(tables)),
            language=load_language(language_folder()),
        )

    return make


def rendered(name: str, visit: VisitRecords) -> str:
    text = load(name).render(visit)
    assert isinstance(text, str)
    return text


def parsed(text: str) -> list[SyntaxTreeNode]:
    return SyntaxTreeNode(MarkdownIt("commonmark").enable("table").parse(text)).children


def words(node: SyntaxTreeNode) -> str:
    return "".join(n.content for n in node.walk() if n.type in ("text", "text_special"))


def under(text: str, heading: str) -> SyntaxTreeNode:
    blocks = parsed(text)
    (at,) = (n for n, b in enumerate(blocks) if b.type == "heading" and words(b) == heading)
    return blocks[at + 1]


def items(text: str, heading: str) -> list[str]:
    return [words(item) for item in under(text, heading).children]


def test_a_stop_event_is_told_with_what_was_done_or_that_nothing_is_on_record(
    whole: Callable[..., VisitRecords],
) -> None:
    told = "Stop event of #3 (numb, pain 6 to 8): what was done"
    assert f"{told} is not on record." in items(rendered("markdown", whole()), "To keep in mind")
    note = entry("ee", 4).model_copy(update={"content": Note(text="sat down")})
    noted = whole((*RECORDS, note))
    assert f"{told} stands in the note of 09:04:00." in items(
        rendered("markdown", noted), "To keep in mind"
    )
    (event,) = json.loads(rendered("json", noted))["findings"]["stop_events"]
    assert (event["trial"], event["noted"]) == ("cc", ["ee"])


def test_the_note_sets_each_trial_beside_its_baseline(whole: Callable[..., VisitRecords]) -> None:
    table = under(rendered("markdown", whole()), "Each trial beside its baseline")
    rows = [[words(cell) for cell in row.children] for row in table.walk() if row.type == "tr"]
    assert rows[0] == ["No.", "Against", "Pain", "Range", "Stop events"]
    assert rows[1][:3] == ["2", "1", "6 to 3, lower, beyond usual error"]
    assert rows[1][3].startswith("90° to 110°, more, ")
    assert rows[2] == [
        *("3", "1", "6 to 8, higher, beyond usual error - stop and review", ""),
        "numb, pain 6 to 8",
    ]
    assert len(rows) == 3


def test_the_note_tells_the_direction_as_a_description(whole: Callable[..., VisitRecords]) -> None:
    (line,) = items(rendered("markdown", whole()), "Which way it eased")
    assert line.startswith("Left knee flexion: gap eased it.")
    assert "Suggestion for a licensed person to weigh" in line
    assert line.endswith("Stands on gap #2, compression #3.")


def test_the_note_names_its_thresholds_and_what_to_mind(
    whole: Callable[..., VisitRecords],
) -> None:
    text = rendered("markdown", whole())
    pain, angle = items(text, "Usual error")
    assert "CHILDS2005" in pain
    assert "FARRAR2001" in pain
    assert angle.startswith("Range of the knee: ")
    assert "Record #3 has no angle, so range is not compared." in items(text, "To keep in mind")


def test_the_screen_stands_before_everything_it_bears_on(
    whole: Callable[..., VisitRecords],
) -> None:
    text = rendered("markdown", whole())
    assert items(text, "Safety screen") == ["No flag recorded, asked by A*B on 2026-03-02."]
    assert text.index("## Safety screen") < text.index("## Objective")


def test_a_trial_against_the_screen_stands_in_the_note(
    whole: Callable[..., VisitRecords],
) -> None:
    lines = items(rendered("markdown", whole(**{"B2.2": "unsure"})), "Safety screen")
    assert lines[0].startswith("B2.2 answered unsure, asked by A*B on 2026-03-02:")
    assert lines[-1].startswith("A compression trial was recorded although the screen on file")


def test_a_note_of_an_empty_visit_says_that_nothing_is_compared(
    whole: Callable[..., VisitRecords],
) -> None:
    text = rendered("markdown", whole(()))
    assert items(text, "To keep in mind") == [
        "No trial is on record for this visit, so nothing is compared."
    ]
    assert "Each trial beside its baseline" not in text


def test_no_format_promises_anything(whole: Callable[..., VisitRecords]) -> None:
    for name in ("markdown", "json"):
        text = rendered(name, whole(A1="yes", **{"B1.1": "yes"}))
        assert not re.search(r"\b(safe|cleared|cured|healed)\b", text)
    assert "Blocked: refer first" in rendered("markdown", whole(A1="yes"))


def test_what_was_not_confirmed_is_never_compared(whole: Callable[..., VisitRecords]) -> None:
    found = json.loads(rendered("json", whole()))["findings"]
    assert [c["trial"] for c in found["comparisons"]] == ["bb", "cc"]
    assert "dd" not in json.dumps(found)


def test_the_object_has_the_comparisons_as_data(whole: Callable[..., VisitRecords]) -> None:
    found = json.loads(rendered("json", whole()))["findings"]
    gap, press = found["comparisons"]
    assert gap["baseline"] == "aa"
    assert gap["range"]["error"]["source"]
    assert [stop["code"] for stop in press["stops"]] == ["STOP_NEURO", "STOP_PAIN_RISE"]
    assert found["directions"][0]["eased"] == "gap"
    assert found["screen"]["state"] == "open"
