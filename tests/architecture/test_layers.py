"""The layers of DEVELOPERS.md, held against the imports: they point down, never up or sideways."""

import ast
from collections.abc import Iterator
from pathlib import Path

import pytest

PACKAGE = Path(__file__).parents[2] / "voicelog"

# Each room with the rooms it may import from, besides itself and the floor.
CORE = {
    "errors": (),
    "records": (),
    "grammar": ("records",),
    "analysis": ("records",),
    "dialogue": ("grammar", "records"),
}
ADAPTERS = {
    "package_files": (),
    "grammar_files": ("grammar", "package_files"),
    "own_words_file": ("grammar",),
    "reference_tables": ("analysis", "package_files", "records"),
    "plots": ("analysis",),
    "audio": (),
    "recognisers": ("audio", "grammar"),
    "speech": ("audio",),
    "store": ("records",),
    "exports": ("records", "analysis"),
    "shorthand": ("grammar", "records"),
}
SHELL = (
    *("settings", "hearing", "live", "visits", "screening", "asking", "wiring", "corrections"),
    *("clock", "edges", "happenings", "mouth"),
    *("handover", "auditing", "archive", "archive_reading", "unlocking", "safekeeping"),
    *("own_words",),
    *("settings_words", "settings_sheet", "licences", "cheat_sheet", "sound_check", "tailoring"),
)
ENTRY = ("cli", "desk", "__main__")
FLOOR = "errors"
ABOVE_CORE = {room: set(CORE) | set(ADAPTERS) | set(SHELL) for room in SHELL} | {
    room: set(CORE) | set(ADAPTERS) | set(SHELL) | set(ENTRY) for room in ENTRY
}


def _room(path: Path) -> str:
    return path.relative_to(PACKAGE).parts[0].removesuffix(".py")


def _modules() -> list[Path]:
    return sorted(PACKAGE.rglob("*.py"))


def _imported_rooms(path: Path) -> Iterator[str]:
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        names: list[str] = []
        if isinstance(node, ast.ImportFrom) and node.module:
            names = [node.module] if node.level == 0 else []
            if node.module == "voicelog":
                names = [f"voicelog.{alias.name}" for alias in node.names]
        elif isinstance(node, ast.Import):
            names = [alias.name for alias in node.names]
        for name in names:
            if name.startswith("voicelog."):
                yield name.split(".")[1]


def _allowed(room: str) -> set[str]:
    below = CORE.get(room) or ADAPTERS.get(room) or ()
    return {room, FLOOR, *below, *ABOVE_CORE.get(room, ())}


@pytest.mark.parametrize("path", _modules(), ids=lambda p: str(p.relative_to(PACKAGE)))
def test_imports_point_down(path: Path) -> None:
    room = _room(path)
    if room == "__init__":
        return
    assert room in {*CORE, *ADAPTERS, *SHELL, *ENTRY}, f"{room} has no place in the house yet"
    upward = {other for other in _imported_rooms(path) if other not in _allowed(room)}
    assert not upward, f"{path.relative_to(PACKAGE)} reaches into {', '.join(sorted(upward))}"


IMPURE = {
    "asyncio", "datetime.now", "io", "os", "pathlib", "queue", "random", "secrets", "socket",
    "sqlite3", "subprocess", "tempfile", "threading", "time", "uuid",
}  # fmt: skip


@pytest.mark.parametrize(
    "path",
    [p for p in _modules() if _room(p) in CORE and _room(p) != FLOOR],
    ids=lambda p: str(p.relative_to(PACKAGE)),
)
def test_the_core_has_no_clock_no_files_and_no_chance(path: Path) -> None:
    tree = ast.parse(path.read_text(encoding="utf-8"))
    for node in ast.walk(tree):
        if isinstance(node, ast.Import):
            assert not {alias.name.split(".")[0] for alias in node.names} & IMPURE
        elif isinstance(node, ast.ImportFrom):
            assert (node.module or "").split(".")[0] not in IMPURE
        elif isinstance(node, ast.Attribute):
            assert node.attr not in ("now", "utcnow", "today"), "time comes in with events"
