"""Everyday words beside a phrase. Pronunciations from the CMU Pronouncing Dictionary."""

import pytest

from voicelog.recognisers.everyday import Everyday

SOUNDS = {
    "affirm": ("AH F ER M",),
    "four": ("F AO R",),
    "for": ("F AO R", "F ER", "F R ER"),
    "off": ("AO F",),
    "back": ("B AE K",),
    "read": ("R EH D", "R IY D"),
    "red": ("R EH D",),
    "right": ("R AY T",),
}


@pytest.fixture
def everyday() -> Everyday:
    return Everyday(["for", "off", "red back", "right back"], SOUNDS)


def test_every_other_word_stands_beside(everyday: Everyday) -> None:
    assert set(everyday.beside(("affirm",))) == {
        ("for",), ("off",), ("red", "back"), ("right", "back"),
    }  # fmt: skip


def test_what_may_sound_the_same_does_not(everyday: Everyday) -> None:
    """ "for" is "four" in one of its ways, and "red back" may be "read back"."""
    assert ("for",) not in everyday.beside(("four",))
    assert ("off",) in everyday.beside(("four",))
    assert everyday.beside(("read", "back")) == (("for",), ("off",), ("right", "back"))
