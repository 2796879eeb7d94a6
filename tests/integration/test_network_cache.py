"""Compiled networks kept between runs: a file that cannot be one is made anew."""

from pathlib import Path

import pytest

from voicelog.grammar.automaton import Automaton
from voicelog.recognisers.network_cache import NetworkCache

MADE = Automaton(2, ((0, 1, "gap", 1.0),), {1: 1.0})


def test_what_was_kept_is_not_made_again(tmp_path: Path) -> None:
    cache = NetworkCache(tmp_path)
    assert cache.get("gap", lambda: MADE) == MADE
    assert cache.get("gap", lambda: pytest.fail("made again")) == MADE


@pytest.mark.parametrize(
    "text", ["", "{", "[]", '[2, [[Infinity, 1, "gap", 1.0]], []]', '[2, [["a"]], []]', "[1, 2, 3]"]
)
def test_a_damaged_file_is_made_anew(tmp_path: Path, text: str) -> None:
    cache = NetworkCache(tmp_path)
    cache.get("gap", lambda: MADE)
    (file,) = tmp_path.iterdir()
    file.write_text(text, encoding="utf-8")
    assert cache.get("gap", lambda: MADE) == MADE
    assert cache.get("gap", lambda: pytest.fail("made again")) == MADE
