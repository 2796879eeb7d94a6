"""Alternatives that sound alike, found in small trees and compared with a search by brute force."""

import itertools
import random

from voicelog.grammar.alike import audit, close_to
from voicelog.grammar.phones import distance
from voicelog.grammar.template import Choice, Mark, Node, Optional, Sequence, Total, Word, phrase

SOUNDS = {
    "pain": ["P EY N"], "free": ["F R IY"], "three": ["TH R IY"], "eight": ["EY T"],
    "eighty": ["EY T IY"], "at": ["AE T"], "out": ["AW T"], "two": ["T UW"], "ten": ["T EH N"],
    "and": ["AE N D", "AH N D"],
}  # fmt: skip


def numbers() -> Node:
    values = {"three": 3, "eight": 8, "eighty": 80, "two": 2, "ten": 10}
    return Choice(tuple(Mark("part", n, Word(word)) for word, n in values.items()))


def test_pairs_are_reported_without_what_stands_around_them_and_worst_first() -> None:
    tree = Choice((Sequence((Word("pain"), Total("pain", numbers()))),
                   Mark("pain", 0, phrase("pain free"))))  # fmt: skip
    found = audit([tree], SOUNDS)
    assert [(p.first, p.second) for p in found] == [("free", "three"), ("eight", "eighty")]
    assert found[0].place == "pain"
    assert found[0].meanings == ((frozenset({("pain", 0)}), frozenset({("pain", 3)})),) or (
        found[0].meanings == ((frozenset({("pain", 3)}), frozenset({("pain", 0)})),)
    )


def test_two_ways_to_say_the_same_are_no_pair() -> None:
    tree = Mark("command", "out", Choice((Word("out"), Word("eight"))))
    assert audit([tree], SOUNDS) == ()


def test_a_word_that_may_be_left_out_counts() -> None:
    tree = Sequence((Optional(Word("at")), Total("range_deg", numbers())))
    assert ("at eight", "eighty") not in {(p.first, p.second) for p in audit([tree], SOUNDS)}
    assert ("at eight", "eighty") in {(p.first, p.second) for p in audit([tree], SOUNDS, 60.0)}


def test_the_walk_finds_what_comparing_every_two_phrases_finds() -> None:
    chance, words = random.Random(5), sorted(SOUNDS)
    texts = {tuple(chance.choices(words, k=chance.randint(1, 3))) for _ in range(60)}
    tree = Choice(tuple(Mark("n", k, phrase(" ".join(text))) for k, text in enumerate(texts)))
    bar = 45.0
    wanted = set()
    for one, other in itertools.combinations(texts, 2):
        ways = itertools.product(*([SOUNDS[w] for w in one]))
        others = [" ".join(w).split() for w in itertools.product(*([SOUNDS[w] for w in other]))]
        if min(distance(" ".join(w).split(), o) for w in ways for o in others) <= bar:
            wanted.add(frozenset((one, other)))
    meanings = {
        frozenset(dict(meaning)["n"] for meaning in both)
        for pair in audit([tree], SOUNDS, bar)
        for both in pair.meanings
    }
    numbered = dict(enumerate(texts))
    assert {frozenset(numbered[int(n)] for n in pair) for pair in meanings} == wanted


def test_a_new_phrase_is_compared_with_what_stands_in_its_place() -> None:
    tree = Choice((Mark("name", "pain free", phrase("pain free")), Mark("side", "x", Word("ten"))))
    found = close_to("pain three", "name", [tree], SOUNDS)
    assert [(p.first, p.second, p.place) for p in found] == [("free", "three", "name")]
    assert close_to("pain three", "motion", [tree], SOUNDS) == ()
