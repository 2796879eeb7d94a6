"""Whoever calls a function learns from its docstring which of our errors it raises."""

import ast
from collections.abc import Iterator
from pathlib import Path

import pytest

import voicelog
from voicelog import errors

HOUSE = Path(voicelog.__file__).parent
OURS = {
    name
    for name, what in vars(errors).items()
    if isinstance(what, type) and issubclass(what, errors.VoicelogError)
}
FILES = [
    path
    for path in sorted(HOUSE.rglob("*.py"))
    if path.parent.name != "cli" and "_data" not in path.parts
]
"""All but the commands, whose docstrings are what their users read."""


def silent(node: ast.AST, told_above: str) -> Iterator[str]:
    """The public functions below that raise one of our errors and say nothing of it."""
    for inner in ast.iter_child_nodes(node):
        if isinstance(inner, ast.ClassDef):
            yield from silent(inner, told_above + (ast.get_docstring(inner) or ""))
        elif isinstance(inner, ast.FunctionDef) and not inner.name.startswith("_"):
            told = told_above + (ast.get_docstring(inner) or "")
            names = {
                getattr(made.exc.func, "id", "")
                for made in ast.walk(inner)
                if isinstance(made, ast.Raise) and isinstance(made.exc, ast.Call)
            }
            yield from (f"{inner.name}: {name}" for name in sorted(names & OURS - words(told)))


def words(text: str) -> set[str]:
    return {word.strip(".,;:()") for word in text.split()}


@pytest.mark.parametrize("path", FILES, ids=lambda path: str(path.relative_to(HOUSE)))
def test_an_error_of_ours_that_is_raised_is_named(path: Path) -> None:
    tree = ast.parse(path.read_text(encoding="utf-8"))
    assert not list(silent(tree, ast.get_docstring(tree) or ""))
