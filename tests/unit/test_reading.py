"""Which phrases are read out: all sounds, as evenly as can be."""

from collections import Counter

from hypothesis import given
from hypothesis import strategies as st

from voicelog.grammar.reading import FEWEST, MOST, phrases_to_read

SOUNDS = {
    "one": ("W AH N",), "two": ("T UW",), "three": ("TH R IY",), "four": ("F AO R",),
    "five": ("F AY V",), "six": ("S IH K S",), "seven": ("S EH V AH N",), "eight": ("EY T",),
    "nine": ("N AY N",), "pain": ("P EY N",), "left": ("L EH F T",), "knee": ("N IY",),
}  # fmt: skip
"""As the CMU Pronouncing Dictionary has them."""
PHRASES = st.lists(
    st.lists(st.sampled_from(sorted(SOUNDS)), min_size=1, max_size=MOST + 2, unique=True).map(
        " ".join
    ),
    max_size=40,
)


def phones(phrases: tuple[str, ...]) -> Counter[str]:
    return Counter(
        phone for p in phrases for word in p.split() for phone in SOUNDS[word][0].split()
    )


@given(PHRASES)
def test_each_is_one_breath_and_said_once(phrases: list[str]) -> None:
    chosen = phrases_to_read(phrases, SOUNDS, 5)
    assert len(chosen) == len(set(chosen)) <= 5
    assert set(chosen) <= set(phrases)
    assert all(FEWEST <= len(phrase.split()) <= MOST for phrase in chosen)


def test_a_sound_that_is_missing_comes_before_more_of_what_is_there() -> None:
    common = "one two four five six nine eight"
    other = "three seven pain left knee two one"
    again = "one four five nine six eight pain"
    chosen = phrases_to_read([common, again, other], SOUNDS, 2)
    assert other in chosen
    assert set(phones(chosen)) == set(phones((common, other)))


def test_a_phrase_that_says_the_same_again_is_passed_over() -> None:
    first = "one two three four five six seven"
    assert phrases_to_read([first, first.replace("one", "nine")], SOUNDS, 2) in (
        (first,), (first.replace("one", "nine"),),
    )  # fmt: skip
