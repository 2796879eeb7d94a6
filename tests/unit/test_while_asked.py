"""What may be said while a question is open."""

import pytest

from voicelog.grammar.hypothesis import Expect
from voicelog.grammar.parse import parse
from voicelog.grammar.phrases import Phrases


@pytest.mark.parametrize("expect", ["answer", "pain", "range"])
def test_only_who_stands_by_is_told_to_go_ahead(phrases: Phrases, expect: Expect) -> None:
    assert parse(phrases.trees[expect], ("go", "ahead")) is None
    assert parse(phrases.trees[expect], ("disregard",)) is not None
    assert parse(phrases.trees["command"], ("go", "ahead")) is not None


@pytest.mark.parametrize(("expect", "said"), [("pain", "oh"), ("range", "oh"), ("pain", "uh oh")])
def test_oh_is_no_answer(phrases: Phrases, expect: Expect, said: str) -> None:
    assert parse(phrases.trees[expect], tuple(said.split())) is None
