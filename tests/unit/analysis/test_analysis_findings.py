"""What one visit says as a whole: the screen of its time, names for its records, plain data."""

import json
from collections.abc import Callable
from datetime import UTC, date, datetime, timedelta
from typing import Any

import pytest

from voicelog.analysis.comparison import Comparer
from voicelog.analysis.findings import Findings, OnFile, findings
from voicelog.analysis.numbering import by_day, name_caveat, name_direction, numbered
from voicelog.analysis.tables import Tables
from voicelog.grammar_files import language_folder, load_language
from voicelog.records.content import Drill
from voicelog.records.entry import Entry
from voicelog.records.screen import Clearance, ScreenAnswer
from voicelog.records.visit import Visit
from voicelog.telling.data import findings_data
from voicelog.telling.directions import evidence_words
from voicelog.telling.figures import threshold_lines
from voicelog.telling.screen import care_lines, caution_lines, cautions, screen_lines

ENGLISH = load_language(language_folder())

START = datetime(2026, 3, 2, 9, 0, tzinfo=UTC)
VISIT = Visit(
    visit_id="2026-03-02-1",
    client="C-014",
    started_at=START,
    ended_at=START + timedelta(minutes=40),
)
Look = Callable[..., Findings]


@pytest.fixture
def asked(tables: Tables) -> Callable[..., tuple[ScreenAnswer, ...]]:
    """All answers no but those named, so many minutes after the visit began."""

    def make(minutes: float = -10, **but: str) -> tuple[ScreenAnswer, ...]:
        named = {name.replace("_", "."): answer for name, answer in but.items()}
        return tuple(
            ScreenAnswer.model_validate(
                {
                    "client": "C-014",
                    "item": item.id,
                    "answer": named.get(item.id, "no"),
                    "asked_by": "MT",
                    "asked_at": START + timedelta(minutes=minutes),
                }
            )
            for item in tables.screen
        )

    return make


@pytest.fixture
def look(tables: Tables, comparer: Comparer) -> Look:
    """The findings of the made-up visit from its entries and what is on file."""

    def make(
        *entries: Entry,
        answers: tuple[ScreenAnswer, ...] = (),
        clearances: tuple[Clearance, ...] = (),
        visit: Visit = VISIT,
    ) -> Findings:
        return findings(visit, entries, OnFile(tables.screen, answers, clearances), comparer)

    return make


@pytest.fixture
def day(trial: Callable[..., Entry], entry: Callable[..., Entry]) -> tuple[Entry, ...]:
    """A day on which gap eases the shoulder and compression does not."""
    return (
        trial("base", 1, "baseline", pain=6, range_deg=40),
        trial("gap", 2, "gap", pain=3, range_deg=50),
        entry("drill", 3, Drill(name="wall slide")),
        trial("press", 4, "compression", pain=6, range_deg=38),
        trial("again", 5, "retest", pain=2),
    )


# --- the screen as it stood


def test_no_answer_is_told_as_no_screen_on_file(look: Look) -> None:
    found = look()
    assert screen_lines(found.screened, ENGLISH) == ("No safety screen on file.",)
    assert not found.screened.before


def test_all_no_names_who_asked_and_when(look: Look, asked: Callable[..., Any]) -> None:
    found = look(answers=asked())
    assert found.screened.before
    assert screen_lines(found.screened, ENGLISH) == (
        "No flag recorded, asked by MT on 2026-03-02.",
    )


def test_a_screen_asked_during_the_visit_is_told_apart(
    look: Look, asked: Callable[..., Any]
) -> None:
    lines = screen_lines(look(answers=asked(20)).screened, ENGLISH)
    assert lines[0] == "No safety screen was on file when this visit began."


def test_what_came_after_the_visit_does_not_count_for_it(
    look: Look, asked: Callable[..., Any]
) -> None:
    assert screen_lines(look(answers=asked(60)).screened, ENGLISH) == ("No safety screen on file.",)
    open_visit = VISIT.model_copy(update={"ended_at": None})
    assert look(answers=asked(60), visit=open_visit).screened.screen.asked_by == ("MT",)


def test_a_refer_first_answer_is_told_as_blocked_and_a_clearance_by_whom(
    look: Look, asked: Callable[..., Any]
) -> None:
    lines = screen_lines(look(answers=asked(A11="yes")).screened, ENGLISH)
    assert lines[0] == "Blocked: refer first. No clearance is on file."
    assert lines[1].startswith("A11 answered yes, asked by MT on 2026-03-02:")
    letter = Clearance(
        client="C-014",
        items=("A11",),
        given_by="the surgeon on duty",
        given_on=date(2026, 3, 1),
        entered_by="MT",
        entered_at=START,
        limits="no load overhead",
    )
    (line,) = screen_lines(look(answers=asked(A11="yes"), clearances=(letter,)).screened, ENGLISH)
    assert line.endswith(
        "Clearance by the surgeon on duty of 2026-03-01 (no load overhead), entered by MT."
    )


def test_a_question_without_an_answer_is_listed(look: Look, asked: Callable[..., Any]) -> None:
    answers = tuple(answer for answer in asked() if answer.item != "A3")
    assert screen_lines(look(answers=answers).screened, ENGLISH)[-1] == "Not asked: A3."


def test_a_trial_against_the_screen_is_told(
    look: Look, day: tuple[Entry, ...], asked: Callable[..., Any]
) -> None:
    found = look(*day, answers=asked(B1_1="yes", B1_4="unsure", B1_8="yes"))
    assert cautions(found.screened.screen, ENGLISH) == {("gap", None): "No gap trial."}
    assert caution_lines(found, ENGLISH) == (
        "A gap trial was recorded although the screen on file speaks against it: No gap trial.",
    )
    assert caution_lines(look(*day[2:], answers=asked(B1_1="yes")), ENGLISH) == ()
    assert caution_lines(look(*day, answers=asked(B1_8="yes")), ENGLISH) == ()


def test_a_trial_against_the_screen_of_its_joint_is_told(
    look: Look, day: tuple[Entry, ...], asked: Callable[..., Any]
) -> None:
    def told(joint: str) -> tuple[str, ...]:
        answers = tuple(
            a.model_copy(update={"joints": (joint,)}) if a.item == "B1.1" else a
            for a in asked(B1_1="yes")
        )
        return caution_lines(look(*day, answers=answers), ENGLISH)

    assert told("shoulder") == (
        "A gap trial at the shoulder was recorded although the screen on file speaks against it: "
        "No gap trial.",
    )
    assert told("knee") == ()


def test_what_to_take_care_of_is_told_before_the_first_trial(
    look: Look, asked: Callable[..., Any]
) -> None:
    screen = look(answers=asked(B1_1="yes", B2_7="unsure")).screened.screen
    assert care_lines(screen, ENGLISH) == (
        "The screen on file says: No gap trial.",
        "B2.7: Take care with a compression trial: least force, and stop when pain rises.",
    )
    assert care_lines(look(answers=asked()).screened.screen, ENGLISH) == ()


# --- names and words


def test_trials_are_numbered_in_the_order_given_and_others_go_by_their_time(
    day: tuple[Entry, ...],
) -> None:
    assert numbered(day) == {
        "base": "#1",
        "gap": "#2",
        "drill": "09:03:00",
        "press": "#3",
        "again": "#4",
    }
    assert set(by_day(day).values()) == {"2026-03-02"}


def test_sentences_point_at_the_numbers(
    look: Look, trial: Callable[..., Entry], day: tuple[Entry, ...]
) -> None:
    found = look(*day, trial("more", 6, "gap", pain=6, range_deg=40))
    (direction,) = found.directions
    named = name_direction(direction, {"gap": "#2", "more": "#5"})
    assert [caveat.about for caveat in named.caveats] == [("#2", "#5")]
    assert name_caveat(direction.caveats[0], {}).about == ("gap", "more")
    assert evidence_words(direction, numbered(day), ENGLISH).startswith(
        "Stands on gap #2, compression #3"
    )


def test_each_threshold_is_told_once_with_its_source(look: Look, day: tuple[Entry, ...]) -> None:
    used = {"instrument": "inclinometer"}
    measured = [
        entry.model_copy(update={"content": entry.content.model_copy(update=used)}) for entry in day
    ]
    lines = threshold_lines(look(*measured).compared.comparisons, ENGLISH)
    assert len(lines) == len(set(lines)) == 2
    # pain_change.md: error floor 2 points (CHILDS2005), important 30 % (FARRAR2001), both seen.
    assert lines[0] == (
        "Pain: 2 points (CHILDS2005, seen); for lower beyond error also 30 percent "
        "(FARRAR2001, seen)."
    )
    assert lines[1].startswith("Range of the shoulder: ")


# --- as data


def test_the_data_says_what_the_results_say(
    look: Look, day: tuple[Entry, ...], asked: Callable[..., Any]
) -> None:
    data = json.loads(json.dumps(findings_data(look(*day, answers=asked(B1_1="yes")), ENGLISH)))
    gap, press, again = data["comparisons"]
    assert gap["movement"] == {
        "side": "right",
        "joint": "shoulder",
        "motion": "internal rotation",
    }
    assert (gap["trial"], gap["baseline"], gap["phase"]) == ("gap", "base", "gap")
    # By hand: 6 to 3 is 3 points and 50 %, at or over both 2 points and 30 %.
    assert gap["pain"]["label"] == "lower, beyond usual error"
    assert (gap["pain"]["change"], gap["pain"]["percent"]) == (-3, -50.0)
    assert [t["source"] for t in gap["pain"]["thresholds"]] == ["CHILDS2005", "FARRAR2001"]
    assert gap["range"]["change_deg"] == 10
    assert press["pain"]["label"] == "no change"
    assert again["range"] is None
    assert [c["doubt"] for c in again["caveats"]] == ["trial without range"]
    assert data["directions"][0]["eased"] == "gap"
    assert data["directions"][0]["trials"] == ["gap", "press"]
    assert data["screen"]["closed_trials"] == ["gap"]
    assert data["screen"]["raised"] == data["screen"]["standing"] == ["B1.1"]


def test_an_empty_visit_says_so_in_the_data_too(look: Look) -> None:
    data = findings_data(look(), ENGLISH)
    assert data["screen"]["state"] == "not on file"
    assert data["comparisons"] == data["directions"] == []
    assert [c["doubt"] for c in data["caveats"]] == ["empty visit"]
