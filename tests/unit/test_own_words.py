"""A practice's own words laid over those of the language, also of a newer version of it."""

from typing import Any

import pytest
from pydantic import ValidationError

from voicelog.grammar.language import LanguageData
from voicelog.grammar.own_words import OwnWords, why_not, with_own
from voicelog.grammar.parse import parse
from voicelog.grammar.phrases import Phrases
from voicelog.records.content import Cue, Drill, Fault


def name_of(language: LanguageData, said: str) -> object:
    intent = parse(Phrases(language).trees["any"], tuple(said.split()))
    return intent and intent.slots.get("name")


def test_an_own_name_can_be_said_beside_those_of_the_language(language: LanguageData) -> None:
    own = OwnWords(drills={"sled push": ["sled push", "push the sled"]})
    mixed = with_own(language, own)
    assert name_of(language, "drill push the sled") is None
    assert name_of(mixed, "drill push the sled") == "sled push"
    assert name_of(mixed, "drill heel raise") == "heel raise"
    assert name_of(mixed, "drill push the sled three sets of eight") == "sled push"


@pytest.mark.parametrize(("opened", "kind"), [("drill", Drill), ("fault", Fault), ("cue", Cue)])
def test_a_drill_a_fault_and_a_cue_may_be_called_the_same(
    language: LanguageData, talk_in: Any, opened: str, kind: type[Drill] | type[Fault] | type[Cue]
) -> None:
    same = {"sled push": ["sled push"]}
    own = OwnWords(drills=same, faults={"pushing bent": ["sled push"]}, cues=same)
    mixed = with_own(language, own)
    name = "pushing bent" if opened == "fault" else "sled push"
    said = talk_in(mixed).say(f"{opened} sled push").say("affirm")
    assert said.records == [kind(name=name)]
    other, *_ = next(iter(getattr(language, f"{opened}s").values()))
    corrected = talk_in(mixed).say(f"{opened} {other}")
    corrected.say("correction sled push").say("affirm")
    assert corrected.records == [kind(name=name)]


def test_records_tell_which_words_were_in_use(language: LanguageData) -> None:
    one = with_own(language, OwnWords(cues={"wait": ["wait"]})).version
    two = with_own(language, OwnWords(cues={"wait for it": ["wait for it"]})).version
    assert len({language.version, one, two}) == 3
    assert one.startswith(f"{language.version}+")
    assert with_own(language, OwnWords()).version == language.version


def test_a_newer_language_with_the_same_name_keeps_her_way_to_say_it(
    language: LanguageData,
) -> None:
    own = OwnWords(drills={"sled push": ["push the sled"]})
    newer = language.model_copy(
        update={"drills": {**language.drills, "sled push": ["sled push", "push the sled"]}}
    )
    mixed = with_own(newer, own)
    assert mixed.drills["sled push"] == ["push the sled", "sled push"]
    assert name_of(mixed, "drill push the sled") == "sled push"
    assert name_of(mixed, "drill sled push") == "sled push"


def test_a_newer_language_that_means_something_else_by_her_words_gives_way(
    language: LanguageData,
) -> None:
    own = OwnWords(drills={"sled push": ["sled push"]})
    newer = language.model_copy(update={"drills": {**language.drills, "prowler": ["sled push"]}})
    mixed = with_own(newer, own)
    assert name_of(mixed, "drill sled push") == "sled push"
    assert "prowler" not in mixed.drills


@pytest.mark.parametrize("text", ["", "step 2", "push/pull", "a b c d e f g", "x" * 41])
def test_what_cannot_be_said_is_refused_with_a_reason(text: str) -> None:
    assert why_not(text)
    with pytest.raises(ValidationError):
        OwnWords(drills={text: ["sled push"]})


@pytest.mark.parametrize("text", ["sled push", "farmer's walk", "벽 밀기", "Pallof"])
def test_letters_of_any_language_can_be_said(text: str) -> None:
    assert why_not(text) is None


def test_a_pronunciation_goes_with_the_last_name_that_needs_it() -> None:
    own = OwnWords(
        drills={"sled push": ["sled push"]},
        pronunciations={"sled": ["S L EH D"], "scapula": ["S K AE P Y AH L AH"]},
    )
    left = own.with_names("drill", {}).without_idle_sounds(frozenset({"sled", "push"}))
    assert left.pronunciations == {"scapula": ["S K AE P Y AH L AH"]}
    shared = own.with_names("drill", {"sled pull": ["sled pull"]})
    assert "sled" in shared.without_idle_sounds(frozenset({"sled"})).pronunciations
