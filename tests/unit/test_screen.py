"""The screen of a visit: what would be saved is large, and all of it fits the usual terminals."""

import re
import unicodedata
from datetime import UTC, datetime
from io import StringIO
from typing import Any

import numpy as np
import pytest
from pyfiglet import Figlet
from rich.console import Console

from voicelog.audio.base import Block
from voicelog.cli.screen import Screen
from voicelog.cli.session import records_table
from voicelog.listening.happenings import Happening

TRIAL = "left ankle dorsiflexion gap trial"
LONGEST = f"{TRIAL} pain from twelve degrees range eighteen degrees pain ten"


def shown(talk: Any, width: int, height: int) -> list[str]:
    console = Console(file=StringIO(), width=width, height=height)
    screen = Screen(console, "C-014", talk.state.setting.language.texts.listening)
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


def scripts(text: str) -> set[str]:
    """The scripts of the letters, by Unicode's own names of them."""
    return {unicodedata.name(letter).split()[0] for letter in text if letter.isalpha()}


@pytest.mark.parametrize("height", [24, 15])
def test_every_letter_on_the_screen_is_korean_beside_the_code(
    korean_talk: Any, height: int
) -> None:
    text = korean_talk.state.setting.language.texts.listening
    seen = shown(korean_talk, 80, height)
    seen += shown(korean_talk.say("왼쪽 무릎 굽힘 기준 구십 도 통증 사"), 80, height)
    assert scripts("".join(seen).replace("C-014", "")) == {"HANGUL"}
    assert any(" ".join(text.states["listening"].split()[0]) in line for line in seen)


def test_numbers_are_large_beside_korean_words(korean_talk: Any) -> None:
    lines = shown(korean_talk.say("왼쪽 무릎 굽힘 기준 구십 도 통증 사"), 80, 24)
    for number in ("4", "90", "?"):
        assert has_large(lines, number, "ansi_regular"), number
    assert any("통 증" in line for line in lines)


def test_what_happens_is_told_in_korean(korean_talk: Any) -> None:
    console = Console(file=StringIO(), width=80)
    screen = Screen(console, "C-014", korean_talk.state.setting.language.texts.listening)
    for kind in ("saved", "set aside", "dropped", "lost", "back"):
        screen.watch(Happening(kind, datetime(2026, 3, 2, tzinfo=UTC)))
    assert isinstance(console.file, StringIO)
    told = console.file.getvalue()
    assert len(told.splitlines()) == 5
    assert scripts(told) == {"HANGUL"}


def test_the_records_of_a_visit_stand_in_a_table_in_korean(korean_talk: Any) -> None:
    korean_talk.say("왼쪽 무릎 굽힘 기준 통증 시작 칠십 도 구십 도 통증 사 날카로움").say("확인")
    korean_talk.say("운동 왼쪽 뒤꿈치 올리기 삼 세트 팔 회").say("확인")
    assert len(korean_talk.records) == 2
    console = Console(file=StringIO(), width=160)
    console.print(records_table(korean_talk.state, korean_talk.state.setting.language))
    assert isinstance(console.file, StringIO)
    told = re.sub(r"[╭╮╯╰]", "", console.file.getvalue())
    assert scripts(told) == {"HANGUL"}
    assert "왼쪽 무릎 굽힘" in told
    assert "통증 시작 70°, 90°" in told
