"""`voicelog scale`: what is kept, and what no scale takes."""

import pytest

from tests.end_to_end.practice import Practice, a_day


def function(*scores: int) -> list[str]:
    names = ("stairs", "run", "sleep")
    pairs = zip(names, scores, strict=True)
    return [word for n, s in pairs for word in ("--activity", n, "--score", str(s))]


def test_own_activities_are_kept_and_told_beside_those_before(practice: Practice) -> None:
    first = practice.type("scale", "C-014", "function", *function(4, 1, 6), "--region", "knee")
    assert "average 3.67 of 10" in first.out
    again = practice.type("scale", "C-014", "function", *function(7, 3, 6), "--region", "knee")
    # pain_change.md, section 4: knee problems, MDC90 1.5 average, 2.5 one activity (CHATMAN1997).
    assert "Average 3.67 to 5.33 of 10: higher, beyond error (1.5, knee, CHATMAN1997" in again.out
    assert "Run 1 to 3 of 10: higher, within error (2.5, knee" in again.out
    assert "average 5.33 of 10, stairs 7, run 3, sleep 6" in practice.type("progress", "C-014").out


def test_a_rating_of_change_is_kept_beside_its_published_band(practice: Practice) -> None:
    a_day(practice)
    done = practice.type("scale", "C-014", "change", "--rating", "5")
    # JAESCHKE1989, from memory: 4-5 is moderate on the 15-point form.
    assert "Rating of change +5: reaches moderate 4-5 (JAESCHKE1989" in done.out
    assert "Rating of change +5" in practice.type("progress", "C-014").out


def test_a_client_of_whom_nothing_was_on_file_is_named(practice: Practice) -> None:
    a_day(practice)
    assert "Until now" not in practice.type("scale", "C-014", "change", "--rating", "3").out
    done = practice.type("scale", "C-777", "change", "--rating", "3")
    assert "Until now nothing was on file of C-777." in done.out
    assert done.out.endswith("remove it: voicelog forget C-777")
    assert "Until now" not in practice.type("scale", "C-777", "change", "--rating", "4").out


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (("function", "--activity", "stairs", "--score", "4"), "3 to 5 activities"),
        (("function", "--activity", "stairs"), "each activity needs its own score"),
        (("function", *function(4, 1, 11)), "a score from 0"),
        (("function", *function(4, 1, 6)[:4], "--activity", "Stairs", "--score", "1"), "twice"),
        (("change",), "say how much"),
        (("change", "--rating", "8"), "goes from -7"),
        (("change", "--rating", "6", "--form", "11"), "goes from -5"),
        (("change", "--rating", "1", "--form", "12"), "is not one of 11, 15"),
        (("change", "--rating", "1", "--region", "toe"), "is not one of"),
        (("mood",), "is not one of function, change"),
    ],
)
def test_what_no_scale_takes_is_wrong_usage_and_keeps_nothing(
    practice: Practice, arguments: tuple[str, ...], words: str
) -> None:
    done = practice.type("scale", "C-014", *arguments)
    assert done.code == 2
    assert words in " ".join(done.err.replace("│", " ").split())
    practice.store().close()
    assert "Nothing is on record" in practice.type("progress", "C-014").err
