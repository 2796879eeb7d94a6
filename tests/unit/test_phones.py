"""Distances of phones against NLTK's table of Kondrak's features, and against known confusions."""

import random

import pytest
from nltk.metrics import aline

from voicelog.grammar.phones import SKIP, change, distance

IPA = {
    "P": "p", "B": "b", "T": "t", "D": "d", "K": "k", "G": "g", "M": "m", "N": "n", "NG": "ŋ",
    "F": "f", "V": "v", "TH": "θ", "DH": "ð", "S": "s", "Z": "z", "SH": "ʃ", "ZH": "ʒ", "HH": "h",
}  # fmt: skip
WEIGHTS = {"place": 40, "manner": 50, "voice": 10, "nasal": 10, "retroflex": 10, "lateral": 10}
"""Kondrak 2002, page 55, before NLTK's changes, which its comments name ("decreased from 10")."""


def kondrak(one: str, other: str) -> float:
    """The weighted difference of two consonants by NLTK's feature table."""
    values = aline.similarity_matrix | {"fricative": 0.8}
    first, second = (aline.feature_matrix[IPA[phone]] for phone in (one, other))
    return float(sum(w * abs(values[first[f]] - values[second[f]]) for f, w in WEIGHTS.items()))


@pytest.mark.parametrize("one", IPA)
def test_consonants_are_as_far_apart_as_in_kondraks_table(one: str) -> None:
    for other in IPA:
        assert change(one, other) == pytest.approx(min(2 * SKIP, kondrak(one, other)))


def test_the_distance_is_a_metric_on_random_phones() -> None:
    chance = random.Random(3)
    phones = [*IPA, "IY", "AE", "AO", "EY", "ER", "xx"]
    for _ in range(300):
        a, b, c = (tuple(chance.choices(phones, k=chance.randint(0, 6))) for _ in range(3))
        assert distance(a, a) == 0
        assert distance(a, b) == pytest.approx(distance(b, a))
        assert distance(a, c) <= distance(a, b) + distance(b, c) + 1e-9


def test_sounds_that_people_confuse_are_closer_than_those_they_do_not() -> None:
    """Miller and Nicely 1955, "An analysis of perceptual confusions among some English
    consonants", tables I to VI: place is confused long before voicing and nasality with white
    noise; f and th, v and dh, m and n, p and t and k are its tightest groups (from memory)."""
    for close, far in [("F TH", "F M"), ("V DH", "V P"), ("M N", "M S"), ("P K", "P Z")]:
        assert change(*close.split()) < change(*far.split())


def test_phones_that_the_table_lacks_are_only_the_same_or_not() -> None:
    assert change("ㄱ", "ㄱ") == 0
    assert change("ㄱ", "ㄴ") == change("ㄱ", "P") == 2 * SKIP
