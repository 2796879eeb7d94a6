"""Words about results: one sentence for whatever is found, and wording that promises nothing."""

import pytest

from voicelog.analysis.caveats import Caveat, Doubt
from voicelog.analysis.direction import Eased, Missing, NextStep
from voicelog.analysis.pain import PainLabel
from voicelog.analysis.range_error import RangeLabel
from voicelog.analysis.scale_change import ScaleLabel
from voicelog.analysis.tables import Tables
from voicelog.data_files.languages import language_folder, load_language
from voicelog.telling.doubts import caveat_words

ENGLISH = load_language(language_folder())
TEXTS = ENGLISH.texts.findings
PROMISES = ("safe ", "safe.", "cleared", "cured")


@pytest.mark.parametrize("doubt", Doubt)
def test_every_reason_for_care_has_a_whole_sentence(doubt: Doubt) -> None:
    told = caveat_words(Caveat(doubt, ("e1", "e2"), ("active", "passive")), ENGLISH)
    assert told.endswith(".")
    assert "{" not in told


def test_whatever_the_analysis_finds_has_words_and_nothing_else_has() -> None:
    """Every language holds the same names: it is not read without them."""
    assert set(TEXTS.doubts) == set(Doubt)
    assert set(TEXTS.directions.eased) == set(Eased)
    assert set(TEXTS.directions.missing) == set(Missing)
    assert set(TEXTS.directions.steps) == set(NextStep)
    assert set(TEXTS.changes.labels) == {*PainLabel, *RangeLabel}
    assert set(TEXTS.references.scale_labels) == set(ScaleLabel)


def test_no_sentence_calls_anything_safe_cleared_or_cured() -> None:
    told = TEXTS.model_dump_json().lower()
    assert not [word for word in PROMISES if word in told]


def test_no_question_or_stop_promises_anything(tables: Tables) -> None:
    told = [ENGLISH.texts.screen.model_dump_json(), *(rule.when for rule in tables.stops)]
    for text in told:
        assert not [word for word in PROMISES if word in text.lower()]
