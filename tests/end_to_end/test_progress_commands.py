"""`voicelog progress` and `voicelog caseload` over visits that were made up."""

import xml.etree.ElementTree as ElementTree
from datetime import timedelta
from pathlib import Path

from tests.end_to_end.practice import MONDAY, Practice, a_day, trial


def test_progress_shows_the_course_its_changes_and_the_drills(practice: Practice) -> None:
    for week, start in enumerate((8, 6, 5)):
        a_day(practice, MONDAY + timedelta(weeks=week), start=start)
    done = practice.type("progress", "C-014")
    assert done.code == 0
    assert "C-014 3 visits" in done.out
    assert "2026-03-02-1 8 → 4 ▮▮▮▮▮▮▮▮▯▯" in done.out
    # By hand: 8 to 5 is 3 points and 37.5 %; 6 to 5 is one point, inside the error of two.
    assert "first visit pain 8 → 5 -3 (-38 %) ±2 lower, beyond usual error" in done.out
    assert "visit before pain 6 → 5 -1 (-17 %) ±2 lower, within usual error" in done.out
    # BOONE1978: 3 to 4 degrees by one tester with a goniometer, the upper end counts (from memory).
    assert "12° → 12° 0° ±4.0° no change" in done.out
    assert "2026-03-16 banded heel glide: 3 sets of 8, light band." in done.out


def test_a_fall_of_pain_stands_beside_the_published_marks_when_asked_for(
    practice: Practice,
) -> None:
    for week, start in enumerate((8, 6)):
        a_day(practice, MONDAY + timedelta(weeks=week), start=start)
    assert "FARRAR2001" not in practice.type("progress", "C-014").out.split("Usual error")[0]
    told = practice.type("progress", "C-014", "--marks").out
    # Farrar 2001: 2 points, 30 %. By hand: 8 to 6 is 2 points and 25 %. Salaffi 2004: 15, 33 %.
    drugs = "2,724 people in 10 drug trials, several chronic pain types"
    assert (
        f"clinically important reduction {drugs} 2 points FARRAR2001, source seen reached" in told
    )
    assert (
        f"clinically important reduction {drugs} 30 percent FARRAR2001, source seen below" in told
    )
    spread = "825 people with chronic musculoskeletal pain, 3 months"
    assert f"smallest important reduction {spread} 1 point SALAFFI2004, source seen" in told
    assert f"smallest important reduction {spread} 15 percent SALAFFI2004, source seen" in told
    assert f"much better {spread} 33 percent SALAFFI2004, source seen below" in told


def test_progress_of_one_visit_says_when_a_change_will_show(practice: Practice) -> None:
    a_day(practice)
    assert "a change shows from the second on" in practice.type("progress", "C-014").out


def test_angles_of_two_instruments_make_no_span(practice: Practice) -> None:
    practice.visit(
        "C-014",
        MONDAY,
        trial("baseline", 6, 12, instrument="goniometer"),
        trial("retest", 3, 16, instrument="inclinometer"),
    )
    told = practice.type("progress", "C-014").out
    assert "6 → 3" in told
    assert "12° → 16°" not in told


def test_progress_draws_pictures_into_a_folder(practice: Practice, tmp_path: Path) -> None:
    a_day(practice)
    done = practice.type("progress", "C-014", "--svg", str(tmp_path / "new" / "pictures"))
    assert done.code == 0
    drawn = sorted(path.name for path in (tmp_path / "new" / "pictures").iterdir())
    assert drawn == [
        "C-014-banded-heel-glide-dose.svg",
        "C-014-left-ankle-dorsiflexion-pain.svg",
        "C-014-left-ankle-dorsiflexion-range.svg",
    ]
    for path in (tmp_path / "new" / "pictures").iterdir():
        assert ElementTree.parse(path).getroot().tag.endswith("svg")


def test_a_folder_that_cannot_be_made_is_named(practice: Practice, tmp_path: Path) -> None:
    a_day(practice)
    (tmp_path / "file").write_text("x")
    done = practice.type("progress", "C-014", "--svg", str(tmp_path / "file" / "pictures"))
    assert done.code == 1
    assert "cannot be made" in done.err


def test_a_client_nobody_knows_is_named(practice: Practice) -> None:
    a_day(practice)
    done = practice.type("progress", "C-999")
    assert done.code == 1
    assert "Nothing is on record for C-999" in done.err
    assert practice.type("progress", "a name").code == 2


def test_the_caseload_counts_and_names_nobody(practice: Practice) -> None:
    for number in range(4):
        a_day(practice, MONDAY + timedelta(hours=number), client=f"C-10{number}")
    done = practice.type("caseload")
    assert done.code == 0
    assert "C-10" not in done.out
    # Wilson 1927 for 4 of 4 at 95 %: 4 / (4 + 1.96^2) = 0.510 to 1, worked by hand.
    assert "4 of 4, 100 %; 95 % interval 51 to 100 %" in done.out
    assert "about one in four with compression (common practice, no source)" in done.out


def test_an_empty_caseload_says_so(practice: Practice) -> None:
    practice.store().close()
    done = practice.type("caseload")
    assert (done.code, done.out) == (
        0,
        "No trial is on record yet, so there is nothing to count.",
    )
