"""What each setting does, each shown to act where it is put to use."""

from datetime import UTC, datetime
from typing import Any

import pytest

from voicelog.analysis.pain import PainLabel, pain_label, pain_rule
from voicelog.cli.listen import KEYS, keys_of
from voicelog.data_files.languages import language_folder, load_language
from voicelog.data_files.reference_tables import load_tables
from voicelog.dialogue import prompts
from voicelog.grammar.parse import parse
from voicelog.records.content import Trial
from voicelog.records.visit import Visit
from voicelog.settings.fields import Settings
from voicelog.telling.figures import figure_words
from voicelog.wiring import House

ENGLISH = load_language(language_folder())

VISIT = Visit(visit_id="2026-03-02-1", client="C-014", started_at=datetime(2026, 3, 2, tzinfo=UTC))


def test_joints_narrow_what_is_listened_for_and_nothing_else() -> None:
    house = House(Settings(joints=["ankle", "knee"]))
    tree = house.phrases.trees["any"]
    said, other = "left ankle dorsiflexion baseline pain six", "left hip flexion baseline pain six"
    assert parse(tree, tuple(said.split()))
    assert parse(tree, tuple(other.split())) is None
    hip = Trial(side="left", joint="hip", motion="flexion", phase="baseline", pain=6)
    assert prompts.read_back(house.language, hip) == "left hip, flexion, baseline, pain six"


def test_commands_that_are_off_are_not_listened_for() -> None:
    house = House(Settings(commands=["stand by"]))
    tree = house.phrases.trees["any"]
    for words in (["affirm"], ["negative"], ["stand", "by"], ["go", "ahead"]):
        assert parse(tree, tuple(words)), words
    for words in (["disregard"], ["close", "visit"], ["correction", "pain", "four"]):
        assert parse(tree, tuple(words)) is None, words


def test_the_order_is_that_of_the_read_back() -> None:
    house = House(Settings(read_back_order=["phase", "pain"]))
    hip = Trial(side="left", joint="hip", motion="flexion", phase="baseline", pain=6)
    assert prompts.read_back(house.language, hip) == "baseline, pain six, left hip, flexion"


def test_how_much_is_read_back_reaches_the_dialogue() -> None:
    assert House(Settings(read_back="tones")).setting(VISIT).read_back == "tones"


@pytest.mark.parametrize(("key", "typed"), [("F9", "\x1b[20~"), ("b", "b"), ("page up", "\x1b[5~")])
def test_the_foot_switch_does_what_it_is_set_to(key: str, typed: str) -> None:
    """The sequences are those of xterm's control sequences, "PC-Style Function Keys"."""
    keys = keys_of(Settings(foot_switch_key=key, foot_switch_does="negative"))
    assert keys[typed] == "negative"
    assert {k: v for k, v in keys.items() if k != typed} == KEYS


def test_a_foot_switch_goes_before_what_its_key_means_otherwise() -> None:
    assert keys_of(Settings(foot_switch_key="p", foot_switch_does="affirm"))["p"] == "affirm"


def test_an_own_threshold_decides_and_says_so_beside_the_published_one() -> None:
    """CHILDS2005 prints 2 points; a fall from 6 to 4 is beyond it, and within 3."""
    why = "our own wider margin"
    own: Any = {"pain_error_floor": {"value": 3, "why": why}}
    rules = House(Settings(thresholds=own)).tables.rules
    assert pain_label(6, 4, pain_rule(load_tables().rules)) is PainLabel.LOWER_BEYOND
    assert pain_label(6, 4, pain_rule(rules)) is PainLabel.LOWER_WITHIN
    words = figure_words(rules["pain_error_floor"], ENGLISH)
    assert words == (
        "3 points (set by the practice: our own wider margin; published 2 points "
        "(CHILDS2005, source seen))"
    )


def test_every_rule_of_the_tables_that_decides_can_be_set() -> None:
    named = Settings.model_json_schema()["properties"]["thresholds"]["propertyNames"]["enum"]
    counted = {"gap_share", "compression_share"}  # a rule of thumb that is only shown
    assert set(named) == set(load_tables().rules) - counted


def test_the_plausible_range_follows_an_own_figure() -> None:
    own: Any = {"plausible_sd": {"value": 1, "why": "ask back sooner"}}
    usual, narrow = House(Settings()).plausible, House(Settings(thresholds=own)).plausible
    assert all(narrow[movement][1] <= usual[movement][1] for movement in usual)
    assert narrow["ankle", "eversion"][1] < usual["ankle", "eversion"][1]
