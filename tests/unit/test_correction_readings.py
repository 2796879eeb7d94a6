"""What another reading, a typed line or the lists of a form make of an entry."""

from contextlib import suppress
from datetime import UTC, datetime

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from voicelog.corrections.alternatives import alternatives
from voicelog.corrections.history import differences
from voicelog.corrections.typed import applied
from voicelog.data_files.languages import language_folder, load_language
from voicelog.desk.fields import Field, fields, filled
from voicelog.errors import StoreError
from voicelog.grammar.language import LanguageData
from voicelog.grammar.phrases import Phrases
from voicelog.records.content import AnyContent, Cue, Drill, Fault, Note, Trial
from voicelog.records.entry import Entry, Evidence
from voicelog.shorthand import Shorthand

AT = datetime(2026, 3, 2, 9, 0, tzinfo=UTC)
GAP = Trial(side="left", joint="ankle", motion="dorsiflexion", phase="gap", range_deg=16, pain=0)


@pytest.fixture(scope="module")
def language() -> LanguageData:
    return load_language(language_folder("en"))


@pytest.fixture(scope="module")
def phrases(language: LanguageData) -> Phrases:
    return Phrases(language)


@pytest.fixture(scope="module")
def shorthand(language: LanguageData) -> Shorthand:
    return Shorthand(language)


def _entry(content: AnyContent, *heard: tuple[str, tuple[str, ...]]) -> Entry:
    return Entry(
        entry_id="e",
        visit_id="v",
        client="C-014",
        status="unconfirmed",
        content=content,
        spoken_at=AT,
        at=AT,
        by="kim",
        evidence=tuple(
            Evidence(
                text=text,
                confidence=0.9,
                alternatives=others,
                engine="scripted",
                model="",
                grammar_version="1",
            )
            for text, others in heard
        ),
    )


@pytest.mark.parametrize(
    ("content", "heard", "other", "expected"),
    [
        (
            GAP,
            "gap trial sixteen degrees pain free",
            "gap trial sixteen degrees pain three",
            GAP.model_copy(update={"pain": 3}),
        ),
        (
            GAP,
            "gap trial sixteen degrees pain zero",
            "gap trial sixty degrees pain zero",
            GAP.model_copy(update={"range_deg": 60}),
        ),
        (
            GAP.model_copy(update={"outcome": "pain free rep"}),
            "gap trial sixteen degrees pain free rep",
            "gap trial sixteen degrees",
            GAP.model_copy(update={"pain": None}),
        ),
        (
            GAP,
            "gap trial sixteen degrees pain zero",
            "gap trial pain starts at sixteen degrees pain zero",
            GAP.model_copy(update={"range_deg": None, "onset_deg": 16}),
        ),
        (
            GAP.model_copy(update={"range_deg": None, "onset_deg": 16}),
            "gap trial pain starts at sixteen degrees pain zero",
            "gap trial at sixteen degrees pain zero",
            GAP,
        ),
        (
            Drill(name="banded heel glide", sets=3, reps=8),
            "drill banded heel glide three sets of eight",
            "drill banded heel glide two sets of eight",
            Drill(name="banded heel glide", sets=2, reps=8),
        ),
        (
            Drill(name="heel raise", sets=3),
            "correction heel raise",
            "correction three sets of ten",
            Drill(name="heel raise", sets=3, reps=10),
        ),
        (
            Drill(name="bridge"),
            "correction bridge",
            "correction heel raise",
            Drill(name="heel raise"),
        ),
        (
            Fault(name="heel lifting"),  # typed since, over a drill that was heard
            "drill bridge",
            "drill heel raise",
            Drill(name="heel raise"),
        ),
    ],
)
def test_another_reading_changes_only_what_it_says_differently(
    content: AnyContent, heard: str, other: str, expected: AnyContent, phrases: Phrases
) -> None:
    found = alternatives(_entry(content, (heard, (other,))), phrases)
    assert [(one.text, one.content) for one in found] == [(other, expected)]


def test_readings_that_mean_the_same_or_a_command_are_left_out(phrases: Phrases) -> None:
    others = (
        "um gap trial sixteen degrees pain zero",
        "affirm",
        "no words of the language",
        "gap trial sixteen degrees pain one",
        "gap trial at sixteen degrees pain one",
    )
    found = alternatives(_entry(GAP, ("gap trial sixteen degrees pain zero", others)), phrases)
    assert [one.content for one in found] == [GAP.model_copy(update={"pain": 1})]


def test_a_spoken_correction_has_readings_of_its_own(phrases: Phrases) -> None:
    entry = _entry(
        GAP.model_copy(update={"pain": 6}),
        ("gap trial sixteen degrees pain zero", ()),
        ("correction pain six", ("correction pain five",)),
    )
    assert [one.content for one in alternatives(entry, phrases)] == [
        GAP.model_copy(update={"pain": 5})
    ]


def test_a_typed_line_replaces_the_slots_it_gives(
    shorthand: Shorthand, language: LanguageData
) -> None:
    line = "R shoulder IR gap 4/10, 95 deg, sharp"
    typed = applied(line, shorthand.read(line), GAP, language)
    assert typed.content == Trial(
        side="right",
        joint="shoulder",
        motion="internal rotation",
        phase="gap",
        range_deg=95,
        pain=4,
        quality=("sharp",),
    )
    assert applied("6/10", shorthand.read("6/10"), GAP, language).content == GAP.model_copy(
        update={"pain": 6}
    )


def test_a_line_that_says_nothing_gives_nothing(
    shorthand: Shorthand, language: LanguageData
) -> None:
    for line in ("", "xyzzy", "drill 3x10"):
        assert applied(line, shorthand.read(line), GAP, language).content is None


def test_the_pieces_of_a_line_are_the_line_with_doubts_and_rest_marked(
    shorthand: Shorthand, language: LanguageData
) -> None:
    line = "IR sharpp 4/10 <b>xyzzy</b>"
    typed = applied(line, shorthand.read(line), GAP, language)
    assert "".join(text for text, _ in typed.pieces) == line
    assert ("sharpp", "doubt") in typed.pieces
    assert any("xyzzy" in text and mark == "unread" for text, mark in typed.pieces)


def _form(shown: tuple[Field, ...]) -> dict[str, list[str]]:
    """What a browser sends when nothing was touched: a tick that is off is not sent."""
    form: dict[str, list[str]] = {}
    for field in shown:
        values = list(field.value) if isinstance(field.value, tuple) else [field.value]
        if field.kind not in ("tick", "marks") or any(values):
            form[field.name] = values
    return form


@pytest.mark.parametrize(
    "content",
    [
        GAP,
        Trial(),
        Trial(joint="hip", pain=2),
        Trial(motion="adduction", pain=2),
        GAP.model_copy(update={"onset_deg": 12, "quality": ("sharp", "dull"), "end_feel": "firm"}),
        Drill(name="banded heel glide", sets=3, reps=8, hold_s=5, band="light", effort=4),
        Drill(name="a drill the practice no longer has"),
        Fault(name="heel lifting"),
        Cue(name="press the heel down"),
        Note(text="<b>stiff</b>", checked=True),
    ],
)
def test_a_form_sent_back_untouched_changes_nothing(
    content: AnyContent, language: LanguageData
) -> None:
    assert filled(content, _form(fields(content, language)), language) == content


def test_a_form_changes_a_slot(language: LanguageData) -> None:
    form = _form(fields(GAP, language)) | {"pain": ["7"], "phase": ["compression"]}
    changed = filled(GAP, form, language)
    assert [(s.label, s.before, s.after) for s in differences(GAP, changed, language)] == [
        ("Trial", "gap", "compression"),
        ("Pain", "0", "7"),
    ]


@settings(max_examples=300)
@given(name=st.sampled_from(("side", "movement", "pain", "range_deg", "quality")), value=st.text())
def test_a_form_that_nobody_was_shown_is_refused_or_harmless(
    name: str, value: str, language: LanguageData
) -> None:
    form = _form(fields(GAP, language)) | {name: [value]}
    with suppress(StoreError):
        changed = filled(GAP, form, language)
        assert isinstance(changed, Trial)
        Trial.model_validate(changed.model_dump())
