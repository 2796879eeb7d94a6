"""Number words, held against two libraries made for them: num2words and text2num."""

import pytest
from num2words import num2words
from text_to_num import text2num

from voicelog.grammar.language import LanguageData
from voicelog.grammar.numbers import NumberWords, number, spoken_digits, spoken_number
from voicelog.grammar.template import Node, match, spell

SLOT = "degrees"


@pytest.fixture(scope="module")
def words(language: LanguageData) -> NumberWords:
    return language.numbers


@pytest.fixture(scope="module")
def tree(words: NumberWords) -> Node:
    return number(words, SLOT, 0, 180)


def value_of(tree: Node, said: str) -> set[object]:
    split = tuple(said.split())
    return {found[0].value for end, found in match(tree, split) if end == len(split)}


def plain(value: int) -> str:
    """The number in words as num2words has it, without hyphens."""
    return str(num2words(value)).replace("-", " ")


@pytest.mark.parametrize("value", range(181))
def test_every_number_is_understood_as_num2words_says_it(tree: Node, value: int) -> None:
    assert value_of(tree, plain(value)) == {value}
    assert value_of(tree, plain(value).replace(" and ", " ")) == {value}


@pytest.mark.parametrize("value", range(181))
def test_every_number_is_understood_digit_by_digit(tree: Node, value: int) -> None:
    assert value_of(tree, " ".join(plain(int(digit)) for digit in str(value))) == {value}


def test_oh_is_a_zero_behind_another_digit_only(tree: Node) -> None:
    """Alone it is what people say all the time (common practice, no source)."""
    assert value_of(tree, "oh") == set()
    assert value_of(tree, "one oh five") == {105}
    assert value_of(tree, "nine oh") == {90}


@pytest.mark.parametrize("value", range(181))
def test_every_number_is_said_as_num2words_says_it(words: NumberWords, value: int) -> None:
    assert spoken_number(words, value) == plain(value)


@pytest.mark.parametrize("value", range(181))
def test_text2num_understands_every_number_that_is_read_back(
    words: NumberWords, value: int
) -> None:
    assert text2num(spoken_number(words, value), "en") == value
    digits = spoken_digits(words, value).split()
    assert [text2num(digit, "en") for digit in digits] == [int(d) for d in str(value)]


def test_every_phrase_of_the_tree_has_one_value_within_the_limits(tree: Node) -> None:
    for said in spell(tree):
        values = value_of(tree, said)
        assert len(values) == 1, said
        assert all(isinstance(value, int) and 0 <= value <= 180 for value in values), said


@pytest.mark.parametrize(("low", "high"), [(0, 10), (1, 20), (1, 30), (1, 120), (30, 99)])
def test_limits_are_kept_exactly(words: NumberWords, low: int, high: int) -> None:
    limited = number(words, SLOT, low, high)
    values = {value for said in spell(limited) for value in value_of(limited, said)}
    assert values == set(range(low, high + 1))


def test_radiotelephony_digits_are_understood(tree: Node) -> None:
    """ICAO Annex 10 Volume II, 5.2.1.4.3.1: tree, fife, niner."""
    assert value_of(tree, "one tree fife") == {135}
    assert value_of(tree, "niner") == {9}
