"""The safety screen as it stood at a visit, told in its findings."""

from collections.abc import Callable
from datetime import date
from typing import Any

from tests.unit.analysis.days import START, VISIT, Look
from tests.unit.analysis.doubts import ENGLISH
from voicelog.records.entry import Entry
from voicelog.records.screen import Clearance
from voicelog.telling.screen import care_lines, caution_lines, cautions, screen_lines


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
        given_on=date(2026, 3, 2),
        entered_by="MT",
        entered_at=START,
        limits="no load overhead",
    )
    (line,) = screen_lines(look(answers=asked(A11="yes"), clearances=(letter,)).screened, ENGLISH)
    assert line.endswith(
        "Clearance by the surgeon on duty of 2026-03-02 (no load overhead), entered by MT."
    )


def test_what_only_closes_a_kind_of_trial_is_no_reason_to_refer(
    look: Look, asked: Callable[..., Any]
) -> None:
    screen = look(answers=asked(A11="yes", B1_1="yes")).screened.screen
    assert [state.item.id for state in screen.refer_first] == ["A11"]


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
