"""The safety screen: a refer-first answer blocks, a clearance lifts, and nothing is promised."""

from datetime import UTC, date, datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pydantic import ValidationError

from voicelog.analysis.findings import ScreenOfVisit
from voicelog.analysis.safety import Screen, ScreenState, screen_state
from voicelog.analysis.tables import Tables
from voicelog.data_files.languages import language_folder, load_language
from voicelog.grammar.screen_texts import QUESTIONS
from voicelog.records.screen import Clearance, ScreenAnswer
from voicelog.telling.screen import care_lines, screen_lines

ENGLISH = load_language(language_folder())

DAY = datetime(2026, 3, 2, 9, 0, tzinfo=UTC)


def answered(
    item: str, answer: str, hour: int = 0, client: str = "C-014", joints: tuple[str, ...] = ()
) -> ScreenAnswer:
    return ScreenAnswer.model_validate(
        {
            "client": client,
            "item": item,
            "answer": answer,
            "asked_by": "MT",
            "asked_at": DAY + timedelta(hours=hour),
            "joints": joints,
        }
    )


def clearance(
    *items: str, hour: int = 5, client: str = "C-014", given_on: date = date(2026, 3, 2)
) -> Clearance:
    return Clearance(
        client=client,
        items=items,
        given_by="the surgeon on duty",
        given_on=given_on,
        entered_by="MT",
        entered_at=DAY + timedelta(hours=hour),
        limits="no load above the shoulder",
    )


def all_no(tables: Tables, *but: str) -> list[ScreenAnswer]:
    return [answered(item.id, "no") for item in tables.screen if item.id not in but]


def screen(
    tables: Tables, answers: list[ScreenAnswer], clearances: tuple[Clearance, ...] = ()
) -> Screen:
    return screen_state("C-014", tables.screen, answers, clearances)


def told(found: Screen) -> str:
    return " ".join(
        (*screen_lines(ScreenOfVisit(found, before=True), ENGLISH), *care_lines(found, ENGLISH))
    )


def test_the_screen_asks_every_refer_first_flag_of_part_a(tables: Tables) -> None:
    flags = [item.id for item in tables.screen if item.kind == "refer first"]
    assert flags == [f"A{n}" for n in range(1, 13)]
    assert (
        [item.id for item in tables.screen]
        == list(QUESTIONS)
        == list(ENGLISH.texts.screen.questions)
    )


def test_all_answers_on_file_and_none_raised_leaves_the_screen_open(tables: Tables) -> None:
    found = screen(tables, all_no(tables))
    assert (found.state, found.closed, found.missing) == (ScreenState.OPEN, (), ())
    assert "No flag recorded, asked by MT on 2026-03-02." in told(found)


@pytest.mark.parametrize("flag", [f"A{n}" for n in range(1, 13)])
@pytest.mark.parametrize("answer", ["yes", "unsure"])
def test_each_refer_first_answer_blocks_until_its_own_clearance_is_entered(
    tables: Tables, flag: str, answer: str
) -> None:
    answers = [*all_no(tables, flag), answered(flag, answer)]
    blocked = screen(tables, answers)
    assert blocked.state is ScreenState.BLOCKED
    assert [state.item.id for state in blocked.refer_first] == [flag]
    assert blocked.closed == ("gap", "compression")
    assert "No flag recorded" not in told(blocked)
    other = "A2" if flag == "A1" else "A1"
    assert screen(tables, answers, (clearance(other),)).state is ScreenState.BLOCKED
    lifted = screen(tables, answers, (clearance(flag),))
    assert lifted.state is ScreenState.OPEN
    words = told(lifted)
    assert "Clearance by the surgeon on duty of 2026-03-02" in words
    assert "(no load above the shoulder), entered by MT." in words


def test_a_clearance_entered_before_the_answer_lifts_nothing(tables: Tables) -> None:
    answers = [*all_no(tables, "A3"), answered("A3", "yes", hour=6)]
    assert screen(tables, answers, (clearance("A3", hour=5),)).state is ScreenState.BLOCKED


def test_a_clearance_given_before_the_day_of_the_answer_lifts_nothing(tables: Tables) -> None:
    answers = [*all_no(tables, "A3"), answered("A3", "yes")]
    early, same_day = date(2026, 3, 1), date(2026, 3, 2)
    blocked = screen(tables, answers, (clearance("A3", given_on=early),))
    assert blocked.state is ScreenState.BLOCKED
    assert screen(tables, answers, (clearance("A3", given_on=same_day),)).state is ScreenState.OPEN


def test_a_later_no_does_not_lift_a_yes(tables: Tables) -> None:
    answers = [*all_no(tables, "A3"), answered("A3", "yes"), answered("A3", "no", hour=2)]
    assert screen(tables, answers).state is ScreenState.BLOCKED


def test_a_missing_answer_is_not_on_file_and_never_a_no(tables: Tables) -> None:
    found = screen(tables, all_no(tables, "A4", "B1.2"))
    assert found.state is ScreenState.INCOMPLETE
    assert [item.id for item in found.missing] == ["A4", "B1.2"]
    assert "Not asked: A4, B1.2." in told(found)
    assert screen(tables, []).state is ScreenState.INCOMPLETE


def test_a_contraindication_closes_its_own_kind_of_trial_only(tables: Tables) -> None:
    gap = screen(tables, [*all_no(tables, "B1.1"), answered("B1.1", "yes")])
    press = screen(tables, [*all_no(tables, "B2.4"), answered("B2.4", "yes")])
    assert (gap.state, gap.closed) == (ScreenState.OPEN, ("gap",))
    assert (press.state, press.closed) == (ScreenState.OPEN, ("compression",))
    assert "The screen on file says:" in told(gap)


def test_a_contraindication_of_one_joint_closes_its_trial_there_only(tables: Tables) -> None:
    """Instability of a joint speaks against a pull on that joint (BATAVIA_JM, seen)."""
    loose = answered("B1.1", "yes", joints=("shoulder",))
    found = screen(tables, [*all_no(tables, "B1.1"), loose])
    assert (found.closed, found.closed_at) == ((), (("gap", "shoulder"),))
    assert "The screen on file says at the shoulder:" in told(found)
    also = answered("B1.1", "unsure", hour=1, joints=("knee",))
    both = screen(tables, [*all_no(tables, "B1.1"), loose, also])
    assert both.closed_at == (("gap", "shoulder"), ("gap", "knee"))


def test_an_answer_without_a_joint_closes_every_joint_whatever_another_names(
    tables: Tables,
) -> None:
    some, every = answered("B1.1", "yes", joints=("knee",)), answered("B1.1", "yes", hour=1)
    for answers in ([some, every], [every, some]):
        found = screen(tables, [*all_no(tables, "B1.1"), *answers])
        assert (found.closed, found.closed_at) == (("gap",), ())


def test_a_question_about_the_spine_closes_trials_of_the_spine(tables: Tables) -> None:
    found = screen(tables, [*all_no(tables, "B2.5"), answered("B2.5", "yes")])
    assert found.closed == ()
    assert {joint for _, joint in found.closed_at} == {"neck", "upper back", "lower back"}


def test_a_joint_narrows_no_refer_first_answer(tables: Tables) -> None:
    found = screen(tables, [*all_no(tables, "A1"), answered("A1", "yes", joints=("knee",))])
    assert (found.state, found.closed) == (ScreenState.BLOCKED, ("gap", "compression"))


def test_a_clearance_lifts_what_was_answered_before_it_and_no_later_joint(tables: Tables) -> None:
    answers = [
        *all_no(tables, "B1.1"),
        answered("B1.1", "yes", joints=("shoulder",)),
        answered("B1.1", "yes", hour=9, joints=("knee",)),
    ]
    assert screen(tables, answers, (clearance("B1.1"),)).closed_at == (("gap", "knee"),)


def test_a_precaution_is_told_and_closes_nothing(tables: Tables) -> None:
    found = screen(tables, [*all_no(tables, "B2.7"), answered("B2.7", "yes")])
    assert (found.state, found.closed) == (ScreenState.OPEN, ())
    assert [state.item.id for state in found.precautions] == ["B2.7"]
    assert "stop when pain rises" in told(found)


def test_answers_of_another_client_and_unknown_questions_are_said_and_not_used(
    tables: Tables,
) -> None:
    answers = [*all_no(tables), answered("A1", "yes", client="C-201"), answered("Z9", "yes")]
    found = screen(tables, answers, (clearance("A1", client="C-201"),))
    assert (found.state, found.unknown, found.others) == (ScreenState.OPEN, ("Z9",), 2)
    assert "Unknown questions on file, not used: Z9." in told(found)
    assert "other clients, left out: 2." in told(found)
    assert "C-201" not in told(found)


@given(
    given_answers=st.lists(
        st.tuples(
            st.sampled_from(["A1", "A7", "B1.1", "B2.2", "B2.7"]),
            st.sampled_from(["yes", "no", "unsure"]),
            st.integers(0, 9),
        ),
        max_size=8,
    ),
    cleared=st.lists(st.sampled_from(["A1", "A7", "B1.1"]), max_size=2),
    data=st.data(),
)
def test_no_screen_ever_promises_anything_and_order_does_not_matter(
    tables: Tables,
    given_answers: list[tuple[str, str, int]],
    cleared: list[str],
    data: st.DataObject,
) -> None:
    answers = [answered(*each) for each in given_answers]
    clearances = tuple(clearance(item) for item in cleared)
    found = screen(tables, answers, clearances)
    words = told(found).lower().replace(".", " ").replace(",", " ").split()
    assert not {"safe", "cleared", "cured", "fine", "ok"} & set(words)
    raised = {item for item, answer, _ in given_answers if answer != "no"}
    if raised & {"A1", "A7"} - set(cleared):
        assert found.state is ScreenState.BLOCKED
    shuffled = screen(tables, data.draw(st.permutations(answers)), clearances)
    assert (shuffled.state, shuffled.closed) == (found.state, found.closed)


def test_the_deference_statement_sends_the_reader_to_licensed_assessment() -> None:
    deference = ENGLISH.texts.screen.deference
    assert "does not replace licensed assessment" in deference
    assert "When in doubt, do not load: refer." in deference


def test_every_stop_rule_has_a_code_of_its_own_and_says_when(tables: Tables) -> None:
    codes = [rule.code for rule in tables.stops]
    assert len(set(codes)) == len(codes) == 11
    assert all(rule.when for rule in tables.stops)


@pytest.mark.parametrize(
    "wrong", [{"client": "two words"}, {"answer": "maybe"}, {"asked_by": " "}, {"item": ""}]
)
def test_an_answer_that_cannot_be_is_refused(wrong: dict[str, str]) -> None:
    right = answered("A1", "yes").model_dump()
    with pytest.raises(ValidationError):
        ScreenAnswer.model_validate({**right, **wrong})


def test_a_clearance_needs_at_least_one_question() -> None:
    with pytest.raises(ValidationError):
        clearance()
