"""What one visit says as a whole: names for its records, thresholds told once, plain data."""

import json
from collections.abc import Callable
from typing import Any

from tests.unit.analysis.days import Look
from tests.unit.analysis.doubts import ENGLISH
from voicelog.analysis.numbering import by_day, name_caveat, name_direction, numbered
from voicelog.records.entry import Entry
from voicelog.telling.data import findings_data
from voicelog.telling.directions import evidence_words
from voicelog.telling.figures import threshold_lines


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
        "Pain: 2 points (CHILDS2005, source seen); for lower beyond error also 30 percent "
        "(FARRAR2001, source seen)."
    )
    assert lines[1].startswith("Range of the shoulder: ")


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
    assert [c["doubt"] for c in again["caveats"]] == ["above ceiling", "trial without range"]
    assert data["directions"][0]["eased"] == "gap"
    assert data["directions"][0]["trials"] == ["gap", "press"]
    assert data["screen"]["closed_trials"] == ["gap"]
    assert data["screen"]["raised"] == data["screen"]["standing"] == ["B1.1"]


def test_an_empty_visit_says_so_in_the_data_too(look: Look) -> None:
    data = findings_data(look(), ENGLISH)
    assert data["screen"]["state"] == "not on file"
    assert data["comparisons"] == data["directions"] == []
    assert [c["doubt"] for c in data["caveats"]] == ["empty visit"]
