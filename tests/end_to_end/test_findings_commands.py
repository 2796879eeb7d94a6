"""Comparison, course, caseload, scales and the safety screen, as a person types them."""

import json
import re
from contextlib import closing
from datetime import timedelta
from pathlib import Path

from tests.end_to_end.practice import MONDAY, Practice, a_day, trial
from voicelog.records.content import Note
from voicelog.records.entry import Affirmation, Entry


def test_compare_shows_each_trial_with_numbers_label_threshold_and_direction(
    practice: Practice,
) -> None:
    visit = a_day(practice)
    done = practice.type("compare", visit.visit_id)
    assert done.code == 0
    assert "Left ankle dorsiflexion" in done.out
    assert "pain 6 → 3 -3 (-50 %) lower, beyond usual error" in done.out
    # pain_change.md: 2 points (CHILDS2005) and 30 % (FARRAR2001).
    assert "2 points (CHILDS2005, source seen)" in done.out
    assert "30 percent (FARRAR2001, source seen)" in done.out
    assert "gap eased it" in done.out
    assert "Suggestion for a licensed person to weigh" in done.out
    assert "Stands on gap #2, compression #3, retest #4." in done.out
    assert "No safety screen on file." in done.out
    assert practice.type("compare", "last").out == practice.type("compare", "C-014").out == done.out


def test_compare_gives_scripts_one_object(practice: Practice) -> None:
    visit = a_day(practice)
    found = json.loads(practice.type("compare", "last", "--json").out)
    assert found["visit"]["visit_id"] == visit.visit_id
    assert [c["phase"] for c in found["comparisons"]] == ["gap", "compression", "retest"]
    assert found["directions"][0]["eased"] == "gap"


def test_compare_says_what_waits_and_leaves_it_out(practice: Practice) -> None:
    visit = a_day(practice)
    at = MONDAY + timedelta(minutes=20)
    with closing(practice.store()) as store:
        store.append(
            Entry(
                entry_id="waits",
                visit_id=visit.visit_id,
                client="C-014",
                status="unconfirmed",
                content=trial("retest", 0),
                spoken_at=at,
                at=at,
                by="MT",
            )
        )
    done = practice.type("compare", "last")
    assert f"Record {at:%H:%M:%S} waits to be affirmed and was left out" in done.out
    assert "pain 6 → 0" not in done.out


def test_what_was_spoken_last_is_found_first_whatever_was_put_right_since(
    practice: Practice,
) -> None:
    visit, later = a_day(practice), MONDAY + timedelta(hours=9)
    with closing(practice.store()) as store:
        first = store.records(visit.visit_id)[0]
        changed = first.change(trial("baseline", 5, 12), later, "typed", by="MT")
        store.append(changed)
        store.append(changed.confirm(Affirmation(read_back="as typed", by="desk"), later))
    found = practice.type("find", "ankle").out
    minutes = [int(minute) for minute in re.findall(r" \d\d:(\d\d) ", found)]
    assert minutes == [4, 3, 2, 1]


def test_an_unknown_visit_and_a_client_without_visits_are_named(practice: Practice) -> None:
    a_day(practice)
    for wanted in ("2026-03-02-9", "C-999", "[bold]C-999"):
        done = practice.type("compare", wanted)
        assert done.code == 1
        assert f'There is no visit "{wanted}"' in done.err
        assert "2026-03-02-1 (C-014)" in done.err


def test_an_empty_visit_is_told_as_one(practice: Practice) -> None:
    practice.visit("C-014", MONDAY)
    done = practice.type("compare", "last")
    assert done.code == 0
    assert "No trial is on record for this visit, so nothing is compared." in done.out


def test_two_thousand_records_in_one_visit_are_all_compared(practice: Practice) -> None:
    trials = [trial("gap", n % 5) for n in range(1999)]
    practice.visit("C-014", MONDAY, trial("baseline", 6), *trials)
    found = json.loads(practice.type("compare", "last", "--json").out)
    assert len(found["comparisons"]) == 1999
    done = practice.type("compare", "last")
    assert done.code == 0
    assert "#2000" in done.out


def test_left_beside_right_is_shown_where_both_were_measured(practice: Practice) -> None:
    practice.visit(
        "C-014", MONDAY, trial("baseline", 2, 12), trial("baseline", 1, 20, side="right")
    )
    out = practice.type("compare", "last").out
    assert "Left beside right · Ankle dorsiflexion, left beside right. Range 12 to 20" in out
    (side,) = json.loads(practice.type("compare", "last", "--json").out)["sides"]
    assert (side["joint"], side["motion"]) == ("ankle", "dorsiflexion")
    assert (side["range"]["before_deg"], side["range"]["after_deg"]) == (12, 20)
    assert side["range"]["change_deg"] == 8
    assert side["words"] in out


def test_published_ranges_are_shown_for_a_person_with_their_source(practice: Practice) -> None:
    a_day(practice)
    out = practice.type("compare", "last", "--sex", "F", "--age", "34").out
    # rom_reference.csv: women of 20 to 44 years, CDC_JOINTROM_2ND.
    assert "Published range, Ankle dorsiflexion · Mean 13.8 degrees" in out
    assert "12.9 to 14.7 (these figures from memory) in women, 20 to 44 years" in out
    assert "(CDC_JOINTROM_2ND, source seen)" in out
    assert "Published range" not in practice.type("compare", "last").out
    assert practice.type("compare", "last", "--sex", "X").code == 2
    assert practice.type("compare", "last", "--age", "-3").code == 2


def test_an_export_under_a_pseudonym_says_what_is_left_of_the_person(practice: Practice) -> None:
    a_day(practice)
    done = practice.type("export", "last", "--pseudonym", "P-1")
    assert "Visit of P-1" in done.out
    assert "days, times, who recorded, and names inside notes stay" in done.err
    assert "names inside notes" not in practice.type("export", "last").err


def test_signs_that_a_print_cannot_show_are_told_when_it_is_written(
    practice: Practice, tmp_path: Path
) -> None:
    practice.visit("C-014", MONDAY, Note(text="벽 밀기 tried"))
    done = practice.type("export", "last", "--format", "pdf", "-o", str(tmp_path / "note.pdf"))
    assert "lacks these signs and shows ☐ for each: 벽밀기" in done.err
    assert "take --format html and print it from a browser" in done.err
    for name in ("html", "home_sheet_pdf"):
        told = practice.type("export", "last", "--format", name, "-o", str(tmp_path / name)).err
        assert "lacks these signs" not in told
