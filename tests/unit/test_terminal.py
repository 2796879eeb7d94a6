"""A line told at the terminal."""

import io
import sys

import pytest

from voicelog.cli.terminal import Terminal

LINE = "The records in /home/kim/[2026]/records.sqlite are not encrypted. To encrypt them: lock"


class Screen(io.StringIO):
    """What is written to a terminal."""

    def isatty(self) -> bool:
        return True


@pytest.mark.parametrize("told_to", [Screen(), io.StringIO()])
def test_it_breaks_between_words_on_a_screen_and_nowhere_else(
    told_to: io.StringIO, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(sys, "stderr", told_to)
    monkeypatch.setenv("COLUMNS", "50")
    Terminal().tell(LINE)
    lines = told_to.getvalue().splitlines()
    assert " ".join(line.strip() for line in lines) == LINE
    assert len(lines) == (2 if told_to.isatty() else 1)
