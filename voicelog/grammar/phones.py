"""How far apart two pronunciations sound: an edit distance over phones, weighted by articulation.

Source: Kondrak 2000, "A new algorithm for the alignment of phonetic sequences", and 2002,
"Algorithms for language reconstruction": his similarity of two aligned phones (35, less the
weighted difference of their features, less 5 for each vowel of two that differ; -10 for a phone
without partner), turned into a distance by taking it from what the phones score with themselves.
The phones are those of the CMU Pronouncing Dictionary; a diphthong is compared at its start and at
its end. Phones outside of the table are only the same or not.
"""

import math
from collections.abc import Mapping, Sequence
from functools import cache

SKIP = 27.5
"""One phone more or less: half of what two equal phones score, and Kondrak's skip."""
_VOWEL_CHANGE = 10.0
_PLACE, _MANNER, _FLAG, _SHAPE = 40.0, 50.0, 10.0, 5.0
_FLAGS = {"voice", "nasal", "lateral", "retroflex"}
_PLACES = {"bilabial": 1.0, "labiodental": 0.95, "dental": 0.9, "alveolar": 0.85,
           "palato-alveolar": 0.75, "palatal": 0.7, "velar": 0.6, "glottal": 0.1}  # fmt: skip
_MANNERS = {"stop": 1.0, "affricate": 0.9, "fricative": 0.8, "approximant": 0.6}
_HIGH = {"high": 1.0, "mid": 0.5, "low": 0.0}
_BACK = {"front": 1.0, "central": 0.5, "back": 0.0}

_CONSONANTS = {
    "P": "bilabial stop", "B": "bilabial stop voice", "T": "alveolar stop",
    "D": "alveolar stop voice", "K": "velar stop", "G": "velar stop voice",
    "M": "bilabial stop voice nasal", "N": "alveolar stop voice nasal",
    "NG": "velar stop voice nasal", "F": "labiodental fricative",
    "V": "labiodental fricative voice", "TH": "dental fricative", "DH": "dental fricative voice",
    "S": "alveolar fricative", "Z": "alveolar fricative voice",
    "SH": "palato-alveolar fricative", "ZH": "palato-alveolar fricative voice",
    "HH": "glottal fricative", "CH": "palato-alveolar affricate",
    "JH": "palato-alveolar affricate voice", "L": "alveolar approximant voice lateral",
    "R": "alveolar approximant voice retroflex", "W": "bilabial approximant voice",
    "Y": "palatal approximant voice",
}  # fmt: skip
_VOWELS = {
    "IY": "high front", "IH": "high front", "EH": "mid front", "AE": "low front",
    "AA": "low back", "AH": "mid central", "AO": "mid back round", "UH": "high back round",
    "UW": "high back round", "ER": "mid central retroflex",
    "EY": "mid front > high front", "AY": "low back > high front",
    "OY": "mid back round > high front", "AW": "low back > high back round",
    "OW": "mid back round > high back round",
}  # fmt: skip
PHONES = frozenset({*_CONSONANTS, *_VOWELS})
"""All phones of the table."""


def distance(first: Sequence[str], second: Sequence[str], farthest: float = math.inf) -> float:
    """How far apart two phone sequences sound; 0 for the same, `SKIP` for one phone more. Infinite
    when it is more than `farthest`, which is faster than to find out how much."""
    if abs(len(first) - len(second)) * SKIP > farthest:
        return math.inf
    row = [SKIP * count for count in range(len(second) + 1)]
    for one in first:
        before, row = row, [row[0] + SKIP]
        for place, other in enumerate(second):
            changed = before[place] + change(one, other)
            row.append(min(changed, before[place + 1] + SKIP, row[place] + SKIP))
        if min(row) > farthest:
            return math.inf
    return row[-1]


@cache
def change(one: str, other: str) -> float:
    """What it costs to hear `other` for `one`; never more than to skip both, which is also the
    cost between a vowel and a consonant."""
    if one == other:
        return 0.0
    if one in _VOWELS and other in _VOWELS:
        ends = zip(_ends(one), _ends(other), strict=True)
        return _VOWEL_CHANGE + sum(_vowels_apart(a, b) for a, b in ends) / 2
    if one in _CONSONANTS and other in _CONSONANTS:
        first, second = (frozenset(_CONSONANTS[phone].split()) for phone in (one, other))
        return min(2 * SKIP, _consonants_apart(first, second))
    return 2 * SKIP


def _ends(vowel: str) -> tuple[frozenset[str], frozenset[str]]:
    start, _, end = _VOWELS[vowel].partition(" > ")
    return frozenset(start.split()), frozenset((end or start).split())


def _vowels_apart(one: frozenset[str], other: frozenset[str]) -> float:
    return (
        _SHAPE * _apart(_HIGH, one, other)
        + _SHAPE * _apart(_BACK, one, other)
        + _SHAPE * ("round" in one ^ other)
        + _FLAG * ("retroflex" in one ^ other)
    )


def _consonants_apart(one: frozenset[str], other: frozenset[str]) -> float:
    return (
        _PLACE * _apart(_PLACES, one, other)
        + _MANNER * _apart(_MANNERS, one, other)
        + _FLAG * len(one.symmetric_difference(other) & _FLAGS)
    )


def _apart(scale: Mapping[str, float], one: frozenset[str], other: frozenset[str]) -> float:
    first, second = (next(scale[name] for name in phone if name in scale) for phone in (one, other))
    return abs(first - second)
