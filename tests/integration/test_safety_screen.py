"""The safety screen on a store: what is kept, and what stands before the first trial."""

from datetime import UTC, date, datetime, timedelta

import pytest

from voicelog.analysis.tables import ScreenItem
from voicelog.data_files.languages import language_folder, load_language
from voicelog.data_files.reference_tables import load_tables
from voicelog.dialogue.safety_screen import Answer
from voicelog.errors import SafetyError
from voicelog.safety_screen import (
    Answers,
    Given,
    check_before_trials,
    clearance,
    keep_answers,
    screen_now,
)
from voicelog.store.memory import MemoryStore

ENGLISH = load_language(language_folder())

NINE = datetime(2026, 3, 2, 9, 0, tzinfo=UTC)
LETTER = Given("the surgeon on duty", date(2026, 3, 2), "no load overhead")


@pytest.fixture(scope="module")
def items() -> tuple[ScreenItem, ...]:
    return load_tables().screen


class Practice:
    """One client's screen on a store."""

    def __init__(self, items: tuple[ScreenItem, ...]) -> None:
        self.items, self.store = items, MemoryStore()
        self.at = NINE

    def answer(self, **but: Answer | None) -> None:
        """All no but those named, with underscores for dots; None for not asked."""
        named = {name.replace("_", "."): answer for name, answer in but.items()}
        answers = {item.id: named.get(item.id, "no") for item in self.items}
        asked: dict[str, Answer] = {i: a for i, a in answers.items() if a is not None}
        keep_answers(self.store, "C-014", Answers(asked), "AB", self.at)

    def clear(self, given: Given = LETTER) -> None:
        self.at += timedelta(hours=1)
        screen = screen_now(self.store, self.items, "C-014")
        self.store.add_facts(clearance(screen, "C-014", given, "AB", self.at))

    def check(self, *, later: bool = False) -> None:
        check_before_trials(
            screen_now(self.store, self.items, "C-014"), "C-014", ENGLISH, later=later
        )


@pytest.fixture
def practice(items: tuple[ScreenItem, ...]) -> Practice:
    return Practice(items)


def test_without_a_screen_no_trial_starts_unless_it_is_put_off(practice: Practice) -> None:
    with pytest.raises(SafetyError, match="No safety screen of C-014") as caught:
        practice.check()
    assert "voicelog screen C-014" in caught.value.do
    assert "--screen-later" in caught.value.do
    practice.check(later=True)


def test_with_every_question_answered_no_trials_may_be_recorded(practice: Practice) -> None:
    practice.answer()
    practice.check()


def test_a_question_that_was_not_asked_stands_in_the_way(practice: Practice) -> None:
    practice.answer(A3=None, B2_6=None)
    with pytest.raises(SafetyError, match="2 questions"):
        practice.check()
    practice.check(later=True)


@pytest.mark.parametrize("answer", ["yes", "unsure"])
def test_a_refer_first_answer_blocks_even_when_the_rest_is_put_off(
    practice: Practice, answer: Answer
) -> None:
    practice.answer(A5=answer)
    for later in (False, True):
        with pytest.raises(SafetyError, match="A5: Emergency referral") as caught:
            practice.check(later=later)
        assert "--clearance" in caught.value.do


def test_a_clearance_put_on_file_opens_trials_again(practice: Practice) -> None:
    practice.answer(A11="yes")
    practice.clear()
    practice.check()


def test_a_later_yes_blocks_again(practice: Practice) -> None:
    practice.answer(A11="yes")
    practice.clear()
    practice.at += timedelta(days=1)
    practice.answer(A11="yes")
    with pytest.raises(SafetyError):
        practice.check()


def test_a_contraindication_closes_its_kind_only_and_blocks_nothing_else(
    practice: Practice,
) -> None:
    practice.answer(B1_1="yes")
    practice.check()
    assert screen_now(practice.store, practice.items, "C-014").closed == ("gap",)


def test_a_clearance_for_one_question_leaves_the_others_standing(practice: Practice) -> None:
    practice.answer(A11="yes", A12="unsure")
    practice.clear(Given(LETTER.by, LETTER.on, LETTER.words, ("A12",)))
    with pytest.raises(SafetyError) as caught:
        practice.check()
    assert "A11" in caught.value.what
    assert "A12" not in caught.value.what


def test_a_clearance_from_before_a_later_answer_is_not_for_that_one(practice: Practice) -> None:
    practice.answer(A11="yes")
    practice.at += timedelta(days=3)
    practice.answer(A12="unsure")
    between = date(2026, 3, 4)
    with pytest.raises(SafetyError, match="cannot be for A12, answered on 2026-03-05"):
        practice.clear(Given("Dr", between, ""))
    practice.clear(Given("Dr", between, "", ("A11",)))
    with pytest.raises(SafetyError) as caught:
        practice.check()
    assert "A11" not in caught.value.what


@pytest.mark.parametrize(
    ("given", "words"),
    [
        (Given("Dr", date(2026, 3, 2), "", ("A1",)), "No clearance is asked for A1"),
        (Given("Dr", date(2026, 3, 2), "", ("Z9",)), "No clearance is asked for Z9"),
        (Given("Dr", date(2026, 3, 3), ""), "has not been given yet"),
        (Given("Dr", date(2026, 3, 1), ""), "cannot be for A11, answered on 2026-03-02"),
    ],
)
def test_a_clearance_that_cannot_be_is_refused(
    practice: Practice, given: Given, words: str
) -> None:
    practice.answer(A11="yes")
    with pytest.raises(SafetyError, match=words) as caught:
        practice.clear(given)
    assert caught.value.kept == "Nothing was written"
    with pytest.raises(SafetyError):
        practice.check()


def test_nothing_is_cleared_where_nothing_waits(practice: Practice) -> None:
    practice.answer()
    with pytest.raises(SafetyError, match="waits for a clearance"):
        practice.clear()
