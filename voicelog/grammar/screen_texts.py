"""What a language says of the safety screen: its questions, and what is on file of them."""

from typing import Annotated

from voicelog.grammar.finding_texts import Filled, TextSet, for_each_of

QUESTIONS = (
    *(f"A{number}" for number in range(1, 13)),
    *(f"B1.{number}" for number in range(1, 9)),
    *(f"B2.{number}" for number in range(1, 8)),
)
"""The numbers of the questions, as the reference table has them."""


class QuestionTexts(TextSet):
    """One question, and what a yes or unsure asks for."""

    ask: Filled
    act: Filled


class BeforeTrials(TextSet):
    """What stands against recording trials, and what to do about it; no full stop at the end."""

    refer: Filled
    put_on_file: Filled
    not_on_file: Filled
    not_answered: Filled
    ask: Filled
    kept: Filled


class ScreenTexts(TextSet):
    """The safety screen. It says what is on file and by whom, and never more."""

    not_on_file: Filled
    not_before: Filled
    blocked: Filled
    no_flag: Filled
    asked: Filled
    days: Filled
    missing: Filled
    unknown: Filled
    others: Filled
    against: Filled
    against_at: Filled
    precaution: Filled
    recorded: Filled
    recorded_at: Filled
    raised: Filled
    raised_at: Filled
    standing: Filled
    lifted: Filled
    limits: Filled
    no_trial: Filled
    no_trial_at: Filled
    deference: Filled
    before_trials: BeforeTrials
    answers: Annotated[dict[str, Filled], for_each_of("yes", "no", "unsure")]
    states: Annotated[dict[str, Filled], for_each_of("blocked", "incomplete", "open")]
    headings: Annotated[dict[str, Filled], for_each_of("refer first", "gap", "compression")]
    questions: Annotated[dict[str, QuestionTexts], for_each_of(*QUESTIONS)]
