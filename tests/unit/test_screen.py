"""The screen of a visit: what would be saved is large, and all of it fits the usual terminals."""

from io import StringIO
from typing import Any

import numpy as np
import pytest
from pyfiglet import Figlet
from rich.console import Console

from voicelog.audio.base import Block
from voicelog.cli.screen import Screen

TRIAL = "left ankle dorsiflexion gap trial"
LONGEST = f"{TRIAL} pain from twelve degrees range eighteen degrees pain ten"


def shown(talk: Any, width: int, height: int) -> list[str]:
    console = Console(file=StringIO(), width=width, height=height)
    screen = Screen(console, "C-014")
    screen.level(Block(np.zeros(480, np.int16), 0.0), talk.state, speaking=False)
    lines = console.render_lines(screen.render())
    return ["".join(part.text for part in line).rstrip() for line in lines]


def has_large(lines: list[str], text: str, font: str) -> bool:
    drawn = Figlet(font=font, width=1000).renderText(text).splitlines()
    return all(any(row.strip() in line for line in lines) for row in drawn)


@pytest.mark.parametrize(("width", "height"), [(80, 24), (120, 40)])
def test_state_and_values_stand_in_solid_letters(talk: Any, width: int, height: int) -> None:
    lines = shown(talk.say(LONGEST), width, height)
    for text in ("affirm ?", "pain 10", "12-18 deg"):
        assert has_large(lines, text, "ansi_regular"), text
    assert len(lines) < height


def test_a_low_terminal_has_smaller_values_and_nothing_is_cut_off(talk: Any) -> None:
    lines = shown(talk.say(LONGEST), 80, 15)
    assert has_large(lines, "pain 10", "small")
    assert len(lines) <= 15


def test_a_narrow_terminal_has_smaller_letters_still_whole(talk: Any) -> None:
    lines = shown(talk.say(LONGEST), 50, 24)
    assert has_large(lines, "affirm ?", "small")


def test_what_waits_for_an_answer_looks_other_than_what_waits_for_a_yes(talk: Any) -> None:
    talk.say(LONGEST, doubtful=("pain",))
    assert has_large(shown(talk, 80, 24), "which ?", "ansi_regular")
