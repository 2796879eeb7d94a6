"""Mistakes in the files of a language: file, line, and what was expected."""

import re
import shutil
from pathlib import Path

import pytest

from voicelog.data_files.languages import language_folder, load_language, load_pronunciations
from voicelog.errors import GrammarError
from voicelog.grammar.phrases import Phrases


@pytest.fixture
def copy(tmp_path: Path) -> Path:
    return Path(shutil.copytree(language_folder("en"), tmp_path / "en"))


def change(file: Path, old: str, new: str) -> int:
    """Replace a text and give the line it stands in."""
    text = file.read_text(encoding="utf-8")
    assert old in text
    file.write_text(text.replace(old, new, 1), encoding="utf-8")
    return text[: text.index(old)].count("\n") + 1


def test_the_shipped_language_is_whole() -> None:
    folder = language_folder("en")
    assert load_language(folder).code == "en"
    assert load_pronunciations(folder)


def test_broken_toml_names_file_and_line(copy: Path) -> None:
    line = change(copy / "drills.toml", '"heel raise" = ["heel raise"]', '"heel raise" = ["heel')
    with pytest.raises(GrammarError) as caught:
        load_language(copy)
    assert (caught.value.file, caught.value.line) == (copy / "drills.toml", line)


def test_a_wrong_kind_of_value_names_file_and_line(copy: Path) -> None:
    line = change(copy / "joints.toml", 'side = "needed"', 'side = "sometimes"')
    with pytest.raises(GrammarError, match="'needed', 'direction' or 'none'") as caught:
        load_language(copy)
    assert (caught.value.file, caught.value.line) == (copy / "joints.toml", line)


def test_a_missing_key_names_the_file(copy: Path) -> None:
    change(copy / "measures.toml", "low = 0", "least = 0")
    with pytest.raises(GrammarError) as caught:
        load_language(copy)
    assert caught.value.file == copy / "measures.toml"


def test_a_motion_that_nobody_spells_is_named(copy: Path) -> None:
    change(copy / "joints.toml", '"dorsiflexion"', '"dorsal flexion"')
    with pytest.raises(GrammarError, match="dorsal flexion"):
        load_language(copy)


def test_a_missing_file_is_named(copy: Path) -> None:
    (copy / "cues.toml").unlink()
    with pytest.raises(GrammarError, match=r"cues\.toml"):
        load_language(copy)


def test_a_pronunciation_that_is_none_names_file_and_line(copy: Path) -> None:
    file = copy / "pronunciations.dict"
    lines = file.read_text(encoding="utf-8").splitlines()
    file.write_text("\n".join([*lines, "gap guh-ap"]), encoding="utf-8")
    with pytest.raises(GrammarError, match="gap guh-ap") as caught:
        load_pronunciations(copy)
    assert caught.value.line == len(lines) + 1


def test_a_new_joint_is_one_block_in_one_file(copy: Path) -> None:
    file = copy / "joints.toml"
    text = file.read_text(encoding="utf-8")
    block = '\n["rib cage"]\nspoken = ["rib cage"]\nside = "none"\nmotions = ["rotation"]\n'
    file.write_text(text + block, encoding="utf-8")
    language = load_language(copy)
    from voicelog.grammar.parse import parse

    words = ("rib", "cage", "rotation", "baseline", "pain", "two")
    intent = parse(Phrases(language).trees["any"], words)
    assert intent is not None
    assert intent.slots["joint"] == "rib cage"


def test_every_example_of_the_cheat_sheet_is_in_the_language() -> None:
    from voicelog.grammar.parse import parse

    language = load_language(language_folder("en"))
    tree = Phrases(language).trees
    for example in language.examples:
        words = tuple(re.sub(r"[^\w ]", "", example.says).lower().split())
        in_any = parse(tree["any"], words) or parse(tree["answer"], words)
        assert in_any is not None, example.says
