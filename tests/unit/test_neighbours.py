"""Which other readings are weighed against the one that was heard.

How far two phrases sound apart is held to published values elsewhere (tests/unit/test_phones.py);
here only what follows from it, on pairs that listeners are known to take for one another: the ten
digits of the telephone, and -teen for -ty (common practice, no source)."""

import pytest

from voicelog.data_files.languages import language_folder, load_pronunciations
from voicelog.grammar.neighbours import Neighbours
from voicelog.grammar.parse import parse
from voicelog.grammar.phrases import Phrases
from voicelog.grammar.template import vocabulary
from voicelog.recognisers.lexicon import lexicon


@pytest.fixture(scope="module")
def neighbours(phrases: Phrases) -> Neighbours:
    tree = phrases.trees["any"]
    own = load_pronunciations(language_folder("en"))
    return Neighbours(tree, lexicon(vocabulary(tree), own))


@pytest.mark.parametrize(
    ("said", "other"),
    [
        ("gap trial pain nine", "gap trial pain five"),
        ("gap trial fourteen degrees pain two", "gap trial forty degrees pain two"),
        ("retest pain free", "retest pain three"),
        ("left ankle inversion gap trial pain two", "left ankle eversion gap trial pain two"),
        ("gap trial dull sixteen degrees", "gap trial sixteen degrees"),
        ("correction hip nineteen degrees", "correction nineteen degrees"),
        ("drill wall slide hold thirty seconds", "drill wall slide hold thirteen seconds"),
    ],
)
def test_what_sounds_alike_is_among_them(neighbours: Neighbours, said: str, other: str) -> None:
    words = tuple(said.split())
    found = neighbours.of(words, 8)
    texts = {" ".join((*words[: n.start], *n.instead, *words[n.end :])) for n in found}
    assert other in texts


@pytest.mark.parametrize(
    "said",
    [
        "right shoulder internal rotation gap trial pain four",
        "baseline one hundred and thirty five degrees pain five out of ten",
        "correction nineteen degrees",
    ],
)
def test_each_is_a_sentence_with_another_meaning_and_the_nearest_come_first(
    neighbours: Neighbours, phrases: Phrases, said: str
) -> None:
    tree, words = phrases.trees["any"], tuple(said.split())
    meant = parse(tree, words)
    assert meant is not None
    found = neighbours.of(words, 4)
    assert 1 <= len(found) <= 5
    assert [n.distance for n in found] == sorted(n.distance for n in found)
    for neighbour in found:
        other = parse(
            tree, (*words[: neighbour.start], *neighbour.instead, *words[neighbour.end :])
        )
        assert other is not None
        assert other.slots != meant.slots


def test_what_is_no_sentence_has_none(neighbours: Neighbours) -> None:
    assert neighbours.of(("pain", "shoulder"), 4) == ()
