"""What a person reads at the desk comes from the language: its templates and its script hold none.

Templates are cut into text and expressions by Jinja's own lexer, their text by the standard
library's parser of HTML.
"""

import re
from html.parser import HTMLParser
from pathlib import Path

import pytest
from jinja2 import Environment

import voicelog

DESK = Path(voicelog.__file__).parent / "desk"
TEMPLATES = sorted((DESK / "templates").glob("*.html"))
READ = {"aria-label", "placeholder", "alt", "title", "label", "value"}
"""Attributes that somebody hears or reads."""
COMMANDS = ("voicelog listen --client C-014", "voicelog desk", "voicelog")
VALUES = {"yes"}
"""What a ticked box sends."""


class _Words(HTMLParser):
    """The letters that would be read, without keys on the keyboard."""

    def __init__(self) -> None:
        super().__init__()
        self.found: list[str] = []
        self._in_key = False

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self._in_key = tag == "kbd"
        self.found += [
            value for name, value in attrs if name in READ and value not in VALUES and value
        ]

    def handle_endtag(self, tag: str) -> None:
        self._in_key = False

    def handle_data(self, data: str) -> None:
        if not self._in_key:
            self.found.append(data)


def _cut(template: Path) -> tuple[str, list[str]]:
    """The text of a template, without attributes that hold an expression alone, and the strings in
    its expressions."""
    text: list[str] = []
    strings: list[str] = []
    for _, kind, value in Environment().lex(template.read_text(encoding="utf-8")):
        if kind == "data":
            text.append(value)
        elif kind == "variable_begin":
            text.append("0")
        elif kind == "string":
            strings.append(value[1:-1])
    return re.sub(r'[\w-]+="0"', "", "".join(text)), strings


def _letters(text: str) -> list[str]:
    for command in COMMANDS:
        text = text.replace(command, "")
    return re.findall(r"[^\W\d_]+", text)


@pytest.mark.parametrize("template", TEMPLATES, ids=lambda path: path.name)
def test_a_template_holds_no_words_outside_its_blanks(template: Path) -> None:
    reader = _Words()
    reader.feed(_cut(template)[0])
    assert _letters(" ".join(reader.found)) == []


@pytest.mark.parametrize("template", TEMPLATES, ids=lambda path: path.name)
def test_a_template_holds_no_sentence_in_an_expression(template: Path) -> None:
    """Names of forms, files and states are single words in small letters; a sentence has more."""
    strings = [re.sub("%[a-zA-Z.0-9]+", "", text) for text in _cut(template)[1]]
    names = {"discard change"}
    assert [t for t in strings if t not in names and re.search(r"[A-Z]|[a-z] +[a-z]", t)] == []


def test_the_script_of_the_desk_holds_no_sentence() -> None:
    script = (DESK / "static" / "desk.js").read_text(encoding="utf-8")
    code = re.sub(r"^\s*//.*$", "", script, flags=re.MULTILINE).replace('"use strict"', "")
    strings = re.findall(r'"([^"\n]*)"', code)
    keys = {"Escape", "Enter", "Process"}  # UI Events, key values
    assert [t for t in strings if t not in keys and re.search(r"^[A-Z][a-z]|[a-z] +[a-z]", t)] == []
