"""The layers of DEVELOPERS.md, held against the imports: they point down, never up or sideways."""

import ast
import re
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
    "telling": ("analysis", "grammar", "records"),
}
ADAPTERS = {
    "data_files": ("analysis", "grammar", "records"),
    "plots": ("analysis", "grammar", "telling"),
    "audio": (),
    "recognisers": ("audio", "grammar"),
    "speech": ("audio",),
    "store": ("records",),
    "exports": ("records", "analysis", "grammar", "telling"),
    "shorthand": ("grammar", "records"),
}


def _picture() -> dict[str, set[str]]:
    """The rooms of each layer, as the picture in DEVELOPERS.md draws them."""
    text = (PACKAGE.parent / "DEVELOPERS.md").read_text(encoding="utf-8")
    drawn, layer = text.split("```")[1], ""
    found: dict[str, set[str]] = {}
    for line in drawn.splitlines():
        layer = line[:10].strip() or layer
        names = re.split(r" {2,}", line[10:].strip())[0]
        found.setdefault(layer, set()).update(re.findall(r"[a-z_]+", names))
    return found


PICTURE = _picture()
SHELL = tuple(PICTURE["shell"])
ENTRY = (*PICTURE["entry"], "__main__")
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
            if name.startswith("voicelog.") and name != "voicelog.__version__":
                yield name.split(".")[1]


def _allowed(room: str) -> set[str]:
    below = CORE.get(room) or ADAPTERS.get(room) or ()
    return {room, FLOOR, *below, *ABOVE_CORE.get(room, ())}


def test_the_picture_shows_every_room_and_no_other() -> None:
    rooms = {_room(path) for path in _modules()} - {"__init__", "__main__"}
    drawn = [room for layer, names in PICTURE.items() if layer for room in names]
    assert sorted(drawn) == sorted(rooms)
    assert PICTURE["core"] | PICTURE["floor"] == set(CORE)
    assert PICTURE["adapters"] == set(ADAPTERS)


def test_the_arrows_of_the_core_are_those_that_imports_may_go() -> None:
    text = (PACKAGE.parent / "DEVELOPERS.md").read_text(encoding="utf-8")
    drawn = re.search(r"^core +([a-z →←]+?)  .*\n +([a-z →←]+?)  ", text, re.MULTILINE)
    assert drawn is not None
    may: set[tuple[str, str]] = set()
    for line in drawn.groups():
        names, arrows = re.findall("[a-z]+", line), re.findall("[→←]", line)
        pairs = zip(names, names[1:], arrows, strict=False)
        may |= {(left, right) if arrow == "→" else (right, left) for left, right, arrow in pairs}
    for room, below in CORE.items():
        for other in below:
            by_way_of = {via for left, via in may if left == room}
            assert (room, other) in may or any((via, other) in may for via in by_way_of)


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
