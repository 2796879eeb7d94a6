"""The parts of typed shorthand that need no matcher: words, places, and data that hold together."""

import subprocess
import sys

import pytest
from hypothesis import given
from hypothesis import strategies as st

from voicelog.grammar.language import LanguageData
from voicelog.grammar.numbers import NumberWords
from voicelog.shorthand.bare import bare_numbers
from voicelog.shorthand.lexicon import limits, patterns, split_pattern, terms
from voicelog.shorthand.words import LOOSE_DASH, Cutter


@pytest.fixture(scope="module")
def cutter(language: LanguageData) -> Cutter:
    return Cutter(language.numbers, {"l4"})


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("IR 4/10, 95deg", ["IR", "4", "/", "10", ",", "95", "deg"]),
        ("3×10", ["3", "x", "10"]),
        ("95º 30″", ["95", "°", "30", '"']),
        ("L4 L 4", ["L4", "L", "4"]),
        ("3.5/10", ["3.5", "/", "10"]),
        ("ext -5 deg", ["ext", "-5", "deg"]),
        ("4-5/10", ["4", "-", "5", "/", "10"]),
        ("45 - 50", ["45", LOOSE_DASH, "50"]),
        ("C-spine", ["C", "-", "spine"]),
        ("ninety five deg, pain four", ["95", "deg", ",", "pain", "4"]),
        ("one hundred and twenty degrees", ["120", "degrees"]),
        ("can’t", ["can't"]),
    ],
)
def test_a_typed_text_is_cut_into_words_numbers_and_signs(
    cutter: Cutter, text: str, words: list[str]
) -> None:
    assert [word.text for word in cutter.cut(text)] == words


@given(text=st.text(st.characters(codec=None), max_size=60))
def test_the_words_hold_every_character_but_the_space(cutter: Cutter, text: str) -> None:
    words = cutter.cut(text)
    places = [(word.start, word.end) for word in words]
    assert places == sorted(places)
    assert all(0 <= start < end <= len(text) for start, end in places)
    held = {at for start, end in places for at in range(start, end)}
    assert all(at in held or text[at].isspace() for at in range(len(text)))


def test_a_number_alone_may_be_degrees_and_a_small_one_pain_as_well(
    cutter: Cutter, language: LanguageData
) -> None:
    def claimed(text: str) -> list[tuple[tuple[str, object], ...]]:
        found = bare_numbers(cutter.cut(text), set(), [], limits(language))
        return [claim.choices for claim in found]

    assert claimed("95") == [(("range_deg", 95),)]
    assert claimed("4") == [(("range_deg", 4), ("pain", 4))]
    assert claimed("95 4") == [(("range_deg", 95),), (("pain", 4),)]
    assert claimed("200") == [()]


@pytest.mark.parametrize("text", ["C-014", "12/3/26", "4/5", "x95", "#7", "95b"])
def test_a_number_tied_to_its_neighbour_is_none_of_a_record(
    cutter: Cutter, language: LanguageData, text: str
) -> None:
    assert bare_numbers(cutter.cut(text), set(), [], limits(language)) == []


def test_a_short_form_has_one_line(language: LanguageData) -> None:
    data = language.shorthand
    forms = [form.lower() for form, _, _ in data.meanings()]
    once = {form.lower() for table in data.short.values() for form in table}
    once |= {form.lower() for form in (*data.wary, *data.unclear)}
    listed = sum(map(len, data.short.values())) + len(data.wary) + len(data.unclear)
    assert len(once) == listed, sorted({form for form in forms if forms.count(form) > 1})


def test_every_pattern_has_a_number_for_its_own_slot(language: LanguageData) -> None:
    known = limits(language)
    numbers = {"sets_reps": {"sets_reps", "reps"}}  # sets may be left out
    for pattern in patterns(language):
        slots = [text for kind, text in split_pattern(pattern) if kind == "slot"]
        if pattern.slot in known:
            assert numbers.get(pattern.slot, {pattern.slot}) & set(slots), pattern.text
        assert set(slots) <= {*known, pattern.slot}


def test_whatever_may_be_said_may_be_typed(language: LanguageData) -> None:
    typed = {term.text for term in terms(language)}
    for forms in (*language.motions.values(), *language.drills.values()):
        assert set(forms) <= typed
    for joint in language.joints.values():
        assert set(joint.spoken) <= typed


def test_a_short_form_that_means_nothing_is_refused(language: LanguageData) -> None:
    data = language.model_dump()
    data["shorthand"]["short"]["joint"]["pat"] = "patella"
    with pytest.raises(ValueError, match='"pat" means joint "patella"'):
        LanguageData.model_validate(data)


def test_every_reason_has_its_sentence(language: LanguageData) -> None:
    for template in language.shorthand.reasons.values():
        sentence = template.format(text="IR", choices="1, 2")
        assert sentence.endswith(".")


def test_number_words_of_another_language_are_data() -> None:
    ones = ("nul", "een", "twee", "drie", "vier", "vijf", "zes", "zeven", "acht", "negen")
    dutch = NumberWords(
        digits={value: [word] for value, word in enumerate(ones)},
        teens={12: ["twaalf"]},
        tens={},
        hundred=["honderd"],
    )
    assert [word.text for word in Cutter(dutch).cut("pijn drie, twaalf graden")] == [
        "pijn", "3", ",", "12", "graden",
    ]  # fmt: skip


def test_the_matchers_are_loaded_only_when_something_is_read() -> None:
    code = "import sys, voicelog.shorthand; print('spacy' in sys.modules)"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "False"
