"""What every language folder must hold, run over all of them."""

import re
from pathlib import Path
from shutil import copytree
from string import Formatter
from typing import Any, get_args

import pytest

from voicelog.data_files.languages import (
    language_codes,
    language_folder,
    load_language,
    load_pronunciations,
)
from voicelog.dialogue.commands import COMMANDS
from voicelog.errors import GrammarError
from voicelog.grammar.language import LanguageData, Slots
from voicelog.grammar.parse import parse
from voicelog.grammar.phrases import Phrases
from voicelog.grammar.plurals import Category
from voicelog.grammar.samples import sentences
from voicelog.grammar.template import match, vocabulary


@pytest.fixture(scope="module", params=language_codes())
def language(request: pytest.FixtureRequest) -> LanguageData:
    load_pronunciations(language_folder(request.param))
    return load_language(language_folder(request.param))


@pytest.fixture(scope="module")
def english() -> LanguageData:
    return load_language(language_folder())


def blanks(prompt: str) -> set[str]:
    return {name for _, name, _, _ in Formatter().parse(prompt) if name}


def shape(texts: Any) -> Any:
    """The blanks of every sentence, at its place."""
    if isinstance(texts, dict) and "other" in texts and {*texts} <= {*get_args(Category)}:
        return shape(texts["other"])
    if isinstance(texts, dict):
        return {name: shape(each) for name, each in texts.items()}
    return [shape(each) for each in texts] if isinstance(texts, list) else blanks(texts)


def test_its_folder_has_its_code(language: LanguageData) -> None:
    assert language.code in language_codes()
    assert load_language(language_folder(language.code)).name == language.name


def test_every_command_has_words(language: LanguageData) -> None:
    assert set(language.commands) == set(COMMANDS) | {"correction"}


def test_every_prompt_is_there_with_the_same_blanks(
    language: LanguageData, english: LanguageData
) -> None:
    wanted = {name: blanks(text) for name, text in english.prompts.items()}
    found = {name: blanks(text) for name, text in language.prompts.items() if name in wanted}
    assert found == wanted


def test_every_sentence_for_paper_has_the_same_blanks_and_lists_as_long(
    language: LanguageData, english: LanguageData
) -> None:
    assert _without_plurals(language) == _without_plurals(english)


def _without_plurals(language: LanguageData) -> Any:
    return shape(language.texts.model_dump(exclude={"plurals"}))


def test_a_drill_can_be_written_with_every_side(language: LanguageData) -> None:
    assert set(language.texts.home.on_side) == {"left", "right", "both"}


def test_a_text_that_is_missing_is_named_with_its_file(
    language: LanguageData, tmp_path: Path
) -> None:
    folder = copytree(language_folder(language.code), tmp_path / language.code)
    texts = folder / "texts.toml"
    kept = [line for line in texts.read_text().splitlines() if not line.startswith("emergency")]
    texts.write_text("\n".join(kept))
    with pytest.raises(GrammarError, match=r"home / emergency.*Field required") as error:
        load_language(folder)
    assert "texts.toml" in str(error.value)


@pytest.mark.parametrize("name", ["title", "disregard"])
def test_a_word_of_the_cheat_sheet_that_is_missing_is_named(
    language: LanguageData, tmp_path: Path, name: str
) -> None:
    folder = copytree(language_folder(language.code), tmp_path / language.code)
    sheet = folder / "examples.toml"
    kept = [line for line in sheet.read_text().splitlines() if not line.startswith(f"{name} =")]
    sheet.write_text("\n".join(kept))
    with pytest.raises(GrammarError, match=rf"(lacks|differ in) {name}"):
        load_language(folder)


def test_records_keep_the_same_names_in_every_language(
    language: LanguageData, english: LanguageData
) -> None:
    for slot in Slots.model_fields:
        assert set(getattr(language.slots, slot)) <= set(getattr(english.slots, slot))
    for joint, data in language.joints.items():
        assert set(data.motions) <= set(english.joints[joint].motions)
        assert (data.side, data.sided) == (english.joints[joint].side, english.joints[joint].sided)
    assert language.motions.keys() <= english.motions.keys()
    assert language.measures.keys() <= english.measures.keys()


def test_its_examples_mean_something(language: LanguageData) -> None:
    tree = Phrases(language).trees["any"]
    for example in language.examples:
        assert parse(tree, tuple(example.says.lower().split())), example.says


def test_what_is_drawn_from_a_tree_is_in_the_tree_and_says_every_word(
    language: LanguageData,
) -> None:
    phrases = Phrases(language)
    places = iter(range(10**9))
    drawn = sentences(phrases.trial, phrases.weights, lambda: (next(places) * 0.618034) % 1, 300)
    for sentence in drawn[:300]:
        said = tuple(sentence.split())
        assert len(said) in {end for end, _ in match(phrases.trial, said)}, sentence
    words = {word for sentence in drawn for word in sentence.split()}
    assert words == vocabulary(phrases.trial)


OTHERS = [code for code in language_codes() if code != "en"]


@pytest.mark.parametrize("code", OTHERS)
def test_nothing_of_english_is_left_in_another_language(code: str, english: LanguageData) -> None:
    """A single word may be the same, such as tempo, but no sentence."""
    prompts = load_language(language_folder(code)).prompts
    same = {name for name, prompt in prompts.items() if prompt == english.prompts.get(name)}
    spoken = {name: re.sub(r"\{\w+\}", "", prompts[name]).split() for name in same}
    assert not {name for name, words in spoken.items() if len(words) > 1}


@pytest.mark.parametrize("code", OTHERS)
def test_a_language_that_is_not_written_in_latin_letters_has_none(code: str) -> None:
    language = load_language(language_folder(code))
    said = [re.sub(r"\{\w+\}", "", prompt) for prompt in language.prompts.values()]
    latin = [text for text in said if re.search("[A-Za-z]", text)]
    if len(latin) > len(said) / 2:
        pytest.skip(f"{language.name} is written in Latin letters")
    words = [word for tree in Phrases(language).trees.values() for word in vocabulary(tree)]
    assert not [text for text in latin + words if re.search("[A-Za-z]", text)]
