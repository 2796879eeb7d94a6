"""Every error that a person can meet says what to do next, and its parts are whole sentences."""

import ast
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


def errors_made(path: Path) -> list[ast.Call]:
    """Where one of our errors is made, in a file."""
    calls = [n for n in ast.walk(ast.parse(path.read_text("utf-8"))) if isinstance(n, ast.Call)]
    return [call for call in calls if getattr(call.func, "id", "") in OURS]


FILES = [path for path in sorted(HOUSE.rglob("*.py")) if errors_made(path)]


@pytest.mark.parametrize("path", FILES, ids=lambda path: str(path.relative_to(HOUSE)))
def test_an_error_says_what_to_do_next(path: Path) -> None:
    silent = [call.lineno for call in errors_made(path)
              if "do" not in {keyword.arg for keyword in call.keywords}]  # fmt: skip
    assert silent == []


@pytest.mark.parametrize("path", FILES, ids=lambda path: str(path.relative_to(HOUSE)))
def test_its_parts_leave_the_full_stop_to_the_error_itself(path: Path) -> None:
    parts = [part for call in errors_made(path)
             for part in (*call.args, *(keyword.value for keyword in call.keywords))]  # fmt: skip
    ends = [part.values[-1] if isinstance(part, ast.JoinedStr) else part for part in parts]
    words = [part.value for part in ends
             if isinstance(part, ast.Constant) and isinstance(part.value, str)]  # fmt: skip
    assert not [text for text in words if text.endswith(".")]
