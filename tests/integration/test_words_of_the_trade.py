"""Words of the trade are in the language: each has to be heard, typed and counted as meant.

The motions' other names are those of standard goniometry teaching (common practice, no source);
the positions are those of the published tables of reference ranges.
"""

import pytest

from voicelog.data_files.reference_tables import load_tables
from voicelog.grammar.parse import parse
from voicelog.settings.fields import Settings
from voicelog.shorthand import Shorthand
from voicelog.wiring import House

HOUSE = House(Settings(language="en"))


@pytest.fixture(scope="module")
def shorthand() -> Shorthand:
    return Shorthand(HOUSE.language)


@pytest.mark.parametrize(
    ("said", "joint", "motion"),
    [
        ("left knee bending", "knee", "flexion"),
        ("left elbow straightening", "elbow", "extension"),
        ("right wrist palmar flexion", "wrist", "flexion"),
        ("right ankle toes up", "ankle", "dorsiflexion"),
        ("toes down right ankle", "ankle", "plantarflexion"),
    ],
)
def test_a_joint_has_words_of_its_own_for_its_motions(
    shorthand: Shorthand, said: str, joint: str, motion: str
) -> None:
    heard = parse(HOUSE.phrases.trees["any"], (*said.split(), "baseline", "pain", "two"))
    assert heard is not None
    typed = shorthand.read(f"{said} baseline 2/10").slots
    for slots in (heard.slots, typed):
        assert (slots["joint"], slots["motion"]) == (joint, motion)


def test_words_of_one_joint_are_not_taken_for_another() -> None:
    words = ("left", "hip", "toes", "up", "baseline", "pain", "two")
    assert parse(HOUSE.phrases.trees["any"], words) is None


def test_every_word_that_stops_a_trial_can_be_dictated() -> None:
    """Otherwise a reason to stop would be heard as nothing."""
    slots = HOUSE.language.slots
    for rule in load_tables().stops:
        assert set(rule.qualities) <= set(slots.quality), rule.code
        assert set(rule.end_feels) <= set(slots.end_feel), rule.code


def test_every_position_and_manner_of_the_published_tables_can_be_dictated() -> None:
    slots = HOUSE.language.slots
    tables = load_tables()
    fits = [row.fit for row in tables.ranges] + [row.fit for row in tables.errors]
    for fit in fits:
        assert fit.position is None or fit.position in slots.position
        assert fit.manner is None or fit.manner in slots.manner


@pytest.mark.parametrize(
    ("typed", "motion"),
    [("R forearm palm up", "supination"), ("R forearm palm down", "pronation"),
     ("R foot sole in", "inversion"), ("R foot sole out", "eversion"),
     ("R scap shrug", "elevation")],
)  # fmt: skip
def test_plain_names_of_motions_may_be_typed(shorthand: Shorthand, typed: str, motion: str) -> None:
    assert shorthand.read(f"{typed} baseline 2/10").slots["motion"] == motion
