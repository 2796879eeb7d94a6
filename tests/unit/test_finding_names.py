"""What the analysis can find, and what a language must have a sentence for, are the same."""

from enum import StrEnum
from typing import get_args

import pytest

from voicelog.analysis.caveats import Doubt
from voicelog.analysis.direction import Eased, Missing, NextStep
from voicelog.analysis.pain import PainLabel
from voicelog.analysis.range_error import RangeLabel
from voicelog.analysis.safety import ScreenState
from voicelog.analysis.scale_change import ScaleLabel
from voicelog.analysis.tables import Status
from voicelog.grammar import finding_texts as names
from voicelog.grammar.language import LanguageData


@pytest.mark.parametrize(
    ("told", "found"),
    [
        (names.DOUBTS, [Doubt]),
        (names.EASED, [Eased]),
        (names.MISSING, [Missing]),
        (names.STEPS, [NextStep]),
        (names.LABELS, [PainLabel, RangeLabel]),
        (names.SCALE_LABELS, [ScaleLabel]),
    ],
)
def test_everything_that_is_found_has_a_sentence_and_nothing_else_has(
    told: tuple[str, ...], found: list[type[StrEnum]]
) -> None:
    assert set(told) == {value.value for each in found for value in each}


def test_every_status_of_a_figure_has_a_word() -> None:
    assert set(names.STATUSES) == set(get_args(Status))


def test_every_state_of_the_screen_has_a_sentence(language: LanguageData) -> None:
    assert set(language.texts.screen.states) == set(ScreenState)
