"""The pages of DEVELOPERS.md on how to add something, followed to the letter in a copy.

What a page says to write is written (its fenced blocks, into the file named before each), what it
says to run is run and must go well; so a page that lies, or leaves a step out, fails here.
"""

import os
import re
import shutil
import subprocess
import sys
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path

import pytest
from markdown_it import MarkdownIt

from voicelog.data_files.languages import language_folder, load_language

ROOT = Path(__file__).parents[2]
DEVELOPERS = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
COPIED = ("voicelog", "grammar", "tests", "audio_fixtures", "pyproject.toml")
Names = Mapping[str, str]
Own = Callable[[], object]


@dataclass(frozen=True)
class Step:
    """One fenced block of a page: what it is, the file it belongs to, and its words."""

    kind: str
    file: str
    text: str


def steps(title: str) -> Iterator[Step]:
    """The blocks of a page in their order."""
    tokens = iter(MarkdownIt().parse(DEVELOPERS))
    assert any(token.type == "inline" and token.content == title for token in tokens), title
    file = ""
    for token in tokens:
        if token.type == "heading_open":
            return
        if token.type == "inline":
            named = re.findall(r"`((?:voicelog|grammar|tests)/[\w./]+\.\w+)`", token.content)
            file = named[-1] if named else ""
        elif token.type == "fence":
            yield Step(token.info, file, token.content)


@dataclass(frozen=True)
class Working:
    """A copy of the project, and a home of its own."""

    folder: Path

    def follow(self, title: str, names: Names, without: str = "", own: Own | None = None) -> None:
        """Do what a page says with its placeholders filled in, all but what belongs to a file that
        is forgotten. `own` is what only its reader can do, after the first step."""
        found = [step for step in steps(title) if not without or step.file != without]
        assert found, f"{title} says nothing to do"
        for number, step in enumerate(found):
            texts = [step.file, step.text]
            for placeholder, name in names.items():
                texts = [re.sub(rf"(?<![A-Z]){placeholder}(?![A-Z])", name, t) for t in texts]
            self._do(Step(step.kind, *texts))
            if own and number == 0:
                own()

    def run(self, line: str) -> str:
        """What a command prints, which must go well; only a sound card may be missing."""
        program, *words = line.split()
        started = ("-m", "voicelog") if program == "voicelog" else ()
        home = {"HOME": "home", "VOICELOG_DATA_FOLDER": "home", "VOICELOG_SETTINGS": "home/s.toml"}
        done = subprocess.run(
            [sys.executable, *started, *words], capture_output=True, text=True, check=False,
            stdin=subprocess.DEVNULL, cwd=self.folder,
            env=os.environ | home | {"PYTHONPATH": str(self.folder), "COLUMNS": "200"},
        )  # fmt: skip
        failed = set(re.findall("^FAIL +(\\w+)", done.stdout, re.MULTILINE))
        went_well = done.returncode == 0 or failed == {"microphone"}
        assert went_well, f"{line}\n{done.stdout[-20_000:]}{done.stderr[-20_000:]}"
        return done.stdout

    def _do(self, step: Step) -> None:
        if step.kind == "sh":
            for line in step.text.splitlines():
                self._order(line)
        elif step.kind == "diff":
            self._change(self.folder / step.file, step.text)
        else:
            file = self.folder / step.file
            before = file.read_text(encoding="utf-8") + "\n\n" if file.exists() else ""
            file.write_text(before + step.text, encoding="utf-8")

    def _order(self, line: str) -> None:
        program, *words = line.split()
        if program != "cp":
            self.run(line)
            return
        source, copy = (self.folder / word for word in words if word != "-r")
        (shutil.copytree if source.is_dir() else shutil.copy)(source, copy)

    def _change(self, file: Path, difference: str) -> None:
        text = file.read_text(encoding="utf-8")
        for part in difference.strip("\n").split("\n\n"):
            lines = part.splitlines()
            old = "\n".join(line[1:] for line in lines if not line.startswith("+"))
            new = "\n".join(line[1:] for line in lines if not line.startswith("-"))
            assert text.count(old) == 1, f"{file} does not hold, or not once:\n{old}"
            text = text.replace(old, new)
        file.write_text(text, encoding="utf-8")


@pytest.fixture
def copy(tmp_path: Path) -> Working:
    for name in COPIED:
        leave_out = shutil.ignore_patterns("__pycache__", "_data", "*.wav", "*.flac")
        if (ROOT / name).is_dir():
            shutil.copytree(ROOT / name, tmp_path / name, ignore=leave_out)
        else:
            shutil.copy(ROOT / name, tmp_path)
    (tmp_path / "home").mkdir()
    return Working(tmp_path)


def test_a_joint(copy: Working) -> None:
    copy.follow("A joint", {})
    checked = copy.run("voicelog check")
    assert f"{len(load_language(language_folder()).joints) + 1} joints" in checked
    assert "it knows every word" in checked
    assert "without an answer" not in copy.run("voicelog phrases --audit")


def test_a_joint_whose_motion_sounds_like_another_needs_an_answer(copy: Working) -> None:
    with pytest.raises(AssertionError, match="--audit"):
        copy.follow("A joint", {}, without="grammar/en/alike.toml")


def test_a_drill(copy: Working) -> None:
    copy.follow("A drill, fault or cue", {})
    assert "heel slide" in copy.run("voicelog phrases")


def test_a_recogniser(copy: Working) -> None:
    """The fixture that the page asks for is that of the script, for the class of the new file."""
    contract = copy.folder / "tests" / "contract" / "test_recogniser.py"
    text = contract.read_text(encoding="utf-8")
    start = text.index('@pytest.fixture(scope="session")\ndef scripted_subject')
    fixture = text[start : text.index("\n\n\n", start)].replace("scripted", "newcomer")
    own = "    from voicelog.recognisers.newcomer import ScriptedRecogniser\n\n    texts ="
    fixture = fixture.replace("    texts =", own)
    contract.write_text(f"{text}\n\n{fixture}\n", encoding="utf-8")
    heard = ROOT / "audio_fixtures" / "slt" / "c01.flac"
    copy.follow("A recogniser", {"NAME": "newcomer", "FILE": str(heard)})


def test_an_export(copy: Working) -> None:
    copy.follow("An export", {})
    assert "lines" in copy.run("voicelog export --help")


def test_a_setting(copy: Working) -> None:
    copy.follow("A setting", {})
    assert "own_voice" in copy.run("voicelog settings")


def test_a_language(copy: Working) -> None:
    """Its phrases are those of the Korean pack, as if they had been translated now."""

    def translate() -> None:
        shutil.rmtree(copy.folder / "grammar" / "xx")
        language = "language.toml"
        leave_out = shutil.ignore_patterns(language)
        shutil.copytree(copy.folder / "grammar/ko", copy.folder / "grammar/xx", ignore=leave_out)
        shutil.copy(copy.folder / "grammar/en" / language, copy.folder / "grammar/xx" / language)

    title = "A language is a folder and a model"
    names = {"CODE": "xx", "NAME": "Made up", "WORDS": '"음", "어"'}
    copy.follow(title, names, own=translate)


def test_a_language_that_was_not_translated_is_named(copy: Working) -> None:
    with pytest.raises(AssertionError, match="nothing_of_english_is_left"):
        copy.follow("A language is a folder and a model", {"CODE": "xx", "NAME": "Made up"})


def test_a_spoken_command_and_a_sentence(copy: Working) -> None:
    copy.follow("A spoken command, and a sentence the tool says", {})
    assert "says how many records are saved" in copy.run("voicelog phrases")


@pytest.mark.parametrize("forgotten", ["grammar/en/commands.toml", "grammar/en/examples.toml"])
def test_a_command_without_words_or_a_meaning_is_named(copy: Working, forgotten: str) -> None:
    with pytest.raises(AssertionError, match="how many"):
        copy.follow("A spoken command, and a sentence the tool says", {}, forgotten)
