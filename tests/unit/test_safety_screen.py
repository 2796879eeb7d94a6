"""The safety screen as a conversation, by example and for any order of replies."""

from typing import get_args

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from voicelog.dialogue.safety_screen import COMMANDS, Asking, Question, Reply, reply
from voicelog.grammar.language import LanguageData

HOT = Question("A1", "A hot joint?", "Same-day referral.")
LOOSE = Question("B1.1", "A loose joint?", "No gap trial.", of_joints=True)
LOCKED = Question("B2.6", "A locked joint?", "No compression trial.")


@pytest.fixture
def asking(language: LanguageData) -> Asking:
    return Asking(language, (HOT, LOOSE, LOCKED))


def after(asking: Asking, *replies: Reply) -> tuple[Asking, tuple[str, ...]]:
    said: tuple[str, ...] = ()
    for one in replies:
        asking, said = reply(asking, one)
    return asking, said


def test_each_answer_leads_to_the_next_question(asking: Asking) -> None:
    assert asking.sentence == "A hot joint?"
    asked, said = after(asking, "no")
    assert said == ("No.", "A loose joint?")
    assert asked.answers == {"A1": "no"}


def test_a_yes_or_unsure_says_what_it_asks_for(asking: Asking) -> None:
    assert after(asking, "yes")[1][0] == "Yes. Same-day referral."
    assert after(asking, "no", "unsure")[1][0] == "Unsure. No gap trial."


def test_a_question_that_is_skipped_has_no_answer(asking: Asking) -> None:
    asked, said = after(asking, "skip")
    assert said[0] == "Not asked."
    assert asked.answers == {}


def test_all_is_read_back_before_it_counts(asking: Asking) -> None:
    closing, said = after(asking, "no", "yes", "skip")
    assert closing.stage == "closing"
    assert said[-1] == (
        "1 answered no. Yes or unsure to: A loose joint? 1 not asked. "
        "Keep these answers? Affirmative, or negative."
    )
    kept, said = after(closing, "yes")
    assert (kept.stage, said) == ("kept", ("Answers kept.",))
    assert kept.answers == {"A1": "no", "B1.1": "yes"}


def test_a_yes_can_hold_for_some_joints_which_are_read_back(asking: Asking) -> None:
    asked, _ = reply(asking, "yes", ("knee",))
    assert asked.joints == {}  # a hot joint anywhere is sent on
    asked, _ = reply(asked, "yes", ("knee", "upper back"))
    asked, said = reply(asked, "no", ("knee",))
    assert asked.joints == {"B1.1": ("knee", "upper back")}
    assert "A loose joint? (knee, upper back)" in said[-1]
    again, _ = after(asked, "back", "back", "yes")
    assert again.joints == {}


def test_a_no_to_the_read_back_keeps_nothing(asking: Asking) -> None:
    left, said = after(asking, "no", "no", "no", "no")
    assert (left.stage, said) == ("left", ("Nothing was kept.",))


def test_a_slip_is_mended_by_going_back(asking: Asking) -> None:
    asked, said = after(asking, "no", "back")
    assert said == ("A hot joint?",)
    assert after(asked, "yes")[0].answers == {"A1": "yes"}
    at_the_end, said = after(asking, "no", "no", "no", "back")
    assert said == ("A locked joint?",)
    assert after(at_the_end, "unsure")[0].answers["B2.6"] == "unsure"
    unasked, _ = after(asking, "yes", "back", "skip")
    assert unasked.answers == {}


def test_asking_can_end_early_and_the_rest_counts_as_not_asked(asking: Asking) -> None:
    closing, said = after(asking, "yes", "end")
    assert "2 not asked" in said[-1]
    assert after(closing, "back")[1] == ("A loose joint?",)


def test_again_repeats_what_is_open_and_changes_nothing(asking: Asking) -> None:
    assert after(asking, "again") == (asking, ("A hot joint?",))
    closing, _ = after(asking, "no", "no", "no")
    assert after(closing, "again") == (closing, (closing.sentence,))
    for unfit in ("unsure", "skip", "end"):
        assert reply(closing, unfit) == (closing, ())


@given(replies=st.lists(st.sampled_from(get_args(Reply)), max_size=30))
@settings(max_examples=200, deadline=None)
def test_an_answer_counts_only_after_the_whole_was_read_back(
    language: LanguageData, replies: list[Reply]
) -> None:
    asking = Asking(language, (HOT, LOOSE, LOCKED))
    for one in replies:
        before = asking
        asking, said = reply(asking, one)
        assert set(asking.answers) <= {"A1", "B1.1", "B2.6"}
        if before.stage in ("kept", "left"):
            assert (asking, said) == (before, ())
        elif asking.stage == "kept":
            assert (before.stage, one) == ("closing", "yes")
            raised = [q for q in asking.questions if asking.answers.get(q.id) in ("yes", "unsure")]
            assert all(question.text in before.sentence for question in raised)
            assert asking.answers == before.answers


def test_every_spoken_command_of_the_asking_is_in_the_language(language: LanguageData) -> None:
    assert set(COMMANDS) <= set(language.commands)
