"""Typed shorthand as clinicians write it, held against truth written by hand, and any text at all.

The abbreviations and their sources stand in grammar/en/shorthand.toml.
"""

import importlib.util
import re
import sys
from collections import Counter
from pathlib import Path
from types import ModuleType
from typing import Any

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from voicelog.dialogue.draft import begin, change
from voicelog.grammar.language import LanguageData
from voicelog.grammar.parse import Intent
from voicelog.records.content import Drill, Trial
from voicelog.shorthand import Shorthand

LEAST_LINES, LEAST_RIGHT = 150, 0.97


@pytest.fixture(scope="module")
def shorthand(language: LanguageData) -> Shorthand:
    return Shorthand(language)


@pytest.fixture(scope="module")
def figures() -> ModuleType:
    """The benchmark, which reads the lines and scores them."""
    path = Path(__file__).parents[1] / "benchmarks" / "shorthand.py"
    spec = importlib.util.spec_from_file_location("shorthand_figures", path)
    assert spec
    assert spec.loader
    module = importlib.util.module_from_spec(spec)
    sys.modules[spec.name] = module
    spec.loader.exec_module(module)
    return module


def test_nearly_every_slot_is_right_and_no_other_is_wrong_without_a_mark(
    shorthand: Shorthand, figures: Any
) -> None:
    lines = [line for name in figures.FILES for line in figures.lines(name)]
    assert len(lines) >= LEAST_LINES
    counts: Counter[str] = Counter()
    wrong = []
    for line in lines:
        for slot, score in figures.scores(line, shorthand.read(line.typed)):
            counts[score] += 1
            if score in ("wrong", "missed"):
                wrong.append((line.typed, slot))
    assert not wrong
    assert counts["right"] / counts.total() >= LEAST_RIGHT


def test_what_was_not_read_is_shown(shorthand: Shorthand, figures: Any) -> None:
    lines = [line for name in figures.FILES for line in figures.lines(name)]
    shown = [(line.typed, figures.unread(line, shorthand.read(line.typed))) for line in lines]
    assert shown == [(line.typed, line.unread) for line in lines]


def test_a_number_that_was_read_is_no_strange_word_beside_the_pain(shorthand: Shorthand) -> None:
    reading = shorthand.read("L ankle df 14 3/10")
    assert (reading.slots["range_deg"], reading.slots["pain"]) == (14, 3)
    assert [doubt.slot for doubt in reading.doubts] == ["range_deg"]
    strange = shorthand.read("L ankle df xyzzy 14 3/10")
    assert {doubt.slot for doubt in strange.doubts} == {"range_deg", "pain"}


@pytest.mark.parametrize(
    ("text", "slot", "choices"),
    [
        ("R shoulder ext 40 deg", "motion", ("extension", "external rotation")),
        ("R shoulder IR 4-5/10", "pain", (4, 5)),
        ("sup gap 3/10", "position", ("lying on the back",)),
        ("sup gap 3/10", "motion", ("supination",)),
        ("R shoulder DF", "motion", ("dorsiflexion",)),
        ("bridge 10x3", "reps", (10, 3)),
        ("LB? bridge", "band", ("light",)),
        ("unable to reproduce pain R hip IR", "outcome", ("unable",)),
        ("pain decreased from 6/10 to 3/10", "pain", (6, 3)),
    ],
)
def test_a_doubt_offers_what_it_may_mean(
    shorthand: Shorthand, text: str, slot: str, choices: tuple[object, ...]
) -> None:
    offered = {doubt.slot: doubt.choices for doubt in shorthand.read(text).doubts}
    assert offered[slot] == choices


def test_a_doubt_says_where_and_why(shorthand: Shorthand) -> None:
    text = "R sholder IR 4/10"
    (doubt,) = shorthand.read(text).doubts
    assert text[slice(*doubt.place)] == "sholder"
    assert doubt.reason == '"sholder" is read as shoulder: check the spelling.'


def test_every_place_that_says_something_of_a_slot_is_given(shorthand: Shorthand) -> None:
    text = "sharp, 4/10 R hip IR, dull"
    spans = shorthand.read(text).spans
    assert [text[slice(*place)] for place in spans["quality"]] == ["sharp", "dull"]
    assert [text[slice(*place)] for place in spans["pain"]] == ["4/10"]


def test_a_note_yields_suggestions_and_nothing_else(shorthand: Shorthand) -> None:
    text = (
        "Slept badly after the session, R hip felt sharp at 4/10, no tingling; heel lifting again."
    )
    found = {(s.slot, s.choices, text[slice(*s.place)]) for s in shorthand.suggest(text)}
    assert found == {
        ("side", ("right",), "R"),
        ("joint", ("hip",), "hip"),
        ("quality", (("sharp",),), "sharp"),
        ("pain", (4,), "4/10"),
        ("fault", ("heel lifting",), "heel lifting"),
    }


def test_a_suggestion_in_doubt_says_so(shorthand: Shorthand) -> None:
    (found,) = shorthand.suggest("told her to add one more")
    assert (found.slot, found.choices) == ("motion", ("adduction",))
    assert "used for other things" in found.reason


def test_small_words_of_a_note_are_no_short_forms(shorthand: Shorthand) -> None:
    assert shorthand.suggest("er, i went to b and l with r") == ()


TYPED = """
R L B Rt BL RT shoulder hip C-spine L4 IR ER ext rot sup add DF flex gap dist base retest 4/10
4-5/10 pain 11 95 deg 200° 3x10 10x3 3x30s hold 5 sec RPE 6 LB sharp N/T tingling no denies or
~ ? < was / - , ; . ( ) bridge bridges fault cue note: drill sholder aduction PFR unable EF
firm P! at 60 from -5 3.5 0-120 ninety five hundred 99999999999 x × " ' ↓ max c/o w/
"""
FRAGMENTS = st.sampled_from(TYPED.split())
LINES = st.lists(FRAGMENTS, max_size=14).map(" ".join) | st.lists(FRAGMENTS, max_size=8).map(
    "".join
)
ANYTHING = st.text(st.characters(codec=None), max_size=60)


@settings(max_examples=400, deadline=None)
@given(text=LINES | ANYTHING)
@example(text="bridge note:")
def test_any_text_is_read_into_values_that_a_record_can_hold(
    shorthand: Shorthand, language: LanguageData, text: str
) -> None:
    reading = shorthand.read(text)
    if reading.kind == "record":
        change(Trial(), reading.slots, language)
        assert set(reading.slots) <= {*Trial.model_fields, "onset_deg"}
    elif reading.kind == "drill":
        change(Drill(name="bridge"), reading.slots, language)
    elif reading.slots:
        assert reading.kind is not None
        begin(Intent(reading.kind, reading.slots), None, language)
    for doubt in reading.doubts:
        assert doubt.reason
        for choice in doubt.choices:
            held = Drill(name="bridge") if reading.kind == "drill" else Trial()
            change(held, {doubt.slot: choice}, language)


@settings(max_examples=400, deadline=None)
@given(text=LINES | ANYTHING)
@example(text="was 11 LB")
@example(text="max 0-120 ↓")
def test_every_word_is_read_shown_as_unread_or_means_nothing(
    shorthand: Shorthand, language: LanguageData, text: str
) -> None:
    reading = shorthand.read(text)
    places = [place for of_slot in reading.spans.values() for place in of_slot]
    places += [*reading.unread, *(doubt.place for doubt in reading.doubts)]
    assert all(0 <= start < end <= len(text) for start, end in places)
    seen = {at for start, end in places for at in range(start, end)}
    small = language.shorthand.small
    silent = (*language.fillers, *small.fillers, *small.pain_words, *language.kinds["note"])
    quiet = {word.lower() for text_of in silent for word in re.findall(r"\w+", text_of)}
    left = "".join(char if at not in seen else " " for at, char in enumerate(text))
    assert {word.lower() for word in re.findall(r"[^\W_]+", left)} <= quiet


@settings(max_examples=150, deadline=None)
@given(text=LINES | ANYTHING)
def test_suggestions_lie_inside_the_note(shorthand: Shorthand, text: str) -> None:
    for found in shorthand.suggest(text):
        assert 0 <= found.place[0] < found.place[1] <= len(text)
        assert found.choices or found.reason


def test_a_very_long_line_is_read_all_the_same(shorthand: Shorthand) -> None:
    reading = shorthand.read("R shoulder IR gap 4/10 " + "9" * 5000 + " zz" * 2000)
    assert reading.slots["pain"] == 4
    assert "pain" in reading.doubtful


@pytest.mark.parametrize(
    ("line", "slots", "doubtful"),
    [
        ("heel raise eight reps", {"reps": 8}, ()),
        ("heel raise 8 reps tempo 3-1-1-0", {"reps": 8, "tempo": "3-1-1-0"}, ()),
        ("split squat tempo 3/1/1/0", {"tempo": "3-1-1-0"}, ()),
        ("split squat tempo 3 1 1 0", {"tempo": "3-1-1-0"}, ()),
        ("split squat 0110 tempo", {"tempo": "0-1-1-0"}, ()),
        ("band walk 3x10 front plane", {"sets": 3, "reps": 10, "plane": "frontal"}, ()),
        ("wall slide scap plane", {"plane": "scapular"}, ()),
        ("split squat sagittal w/ distraction", {"plane": "sagittal", "direction": "gap"}, ()),
        ("heel raise w/ compression 3x8", {"sets": 3, "reps": 8, "direction": "compression"}, ()),
        ("bridge gapped 2x10", {"sets": 2, "reps": 10, "direction": "gap"}, ("direction",)),
    ],
)
def test_the_dose_of_a_drill_is_read(
    shorthand: Shorthand,
    language: LanguageData,
    line: str,
    slots: dict[str, object],
    doubtful: tuple[str, ...],
) -> None:
    """Tempo is written as four digits, lower, pause, lift and pause (from memory)."""
    reading = shorthand.read(line)
    assert (reading.kind, reading.doubtful, reading.unread) == ("drill", doubtful, ())
    drill = begin(Intent("drill", reading.slots), None, language)
    assert drill.model_dump(exclude={"kind", "name"}, exclude_none=True) == slots


@pytest.mark.parametrize("line", ["split squat tempo 311", "split squat tempo 12-3-1-0"])
def test_a_tempo_without_four_digits_is_no_tempo(shorthand: Shorthand, line: str) -> None:
    reading = shorthand.read(line)
    assert "tempo" not in reading.slots
    assert reading.unread


def test_a_trial_with_gap_is_a_gap_trial(shorthand: Shorthand) -> None:
    reading = shorthand.read("R hip flexion with gap 4/10")
    assert (reading.kind, reading.slots["phase"], reading.doubts) == ("record", "gap", ())
