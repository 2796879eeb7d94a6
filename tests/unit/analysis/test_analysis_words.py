"""Words about results: one sentence for each reason for care, and wording that promises nothing."""

import inspect

import pytest

from voicelog.analysis import doubt_words, reference_words, screen_lines, words
from voicelog.analysis.caveats import Caveat, Doubt
from voicelog.analysis.direction import Eased, Missing, NextStep
from voicelog.analysis.doubt_words import caveat_words
from voicelog.analysis.tables import Tables


@pytest.mark.parametrize("doubt", Doubt)
def test_every_reason_for_care_has_a_whole_sentence(doubt: Doubt) -> None:
    told = caveat_words(Caveat(doubt, ("e1", "e2"), ("active", "passive")))
    assert told.endswith(".")
    assert "{" not in told


def test_every_direction_need_and_step_has_words() -> None:
    assert set(words._EASED) == set(Eased)
    assert set(words._MISSING) == set(Missing)
    assert set(words._NEXT) == set(NextStep)


@pytest.mark.parametrize("module", [words, doubt_words, reference_words, screen_lines])
def test_no_sentence_calls_anything_safe_cleared_or_cured(module: object) -> None:
    assert inspect.ismodule(module)
    source = inspect.getsource(module).split('"""', 2)[2].lower()
    assert not [word for word in ("safe ", "safe.", "cleared", "cured") if word in source]


def test_no_question_or_stop_promises_anything(tables: Tables) -> None:
    told = [item.ask + item.act for item in tables.screen] + [rule.when for rule in tables.stops]
    for text in told:
        assert not [word for word in ("safe ", "safe.", "cleared", "cured") if word in text.lower()]
