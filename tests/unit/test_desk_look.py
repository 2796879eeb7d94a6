"""The colours of the desk, light and dark, against WCAG 2.2."""

import re
from pathlib import Path

import pytest

import voicelog

CSS = (Path(voicelog.__file__).parent / "desk" / "static" / "desk.css").read_text(encoding="utf-8")
LIGHT, DARK = (
    dict(re.findall(r"--([\w-]+): (#[0-9a-f]{6})", block))
    for block in re.findall(r":root \{(.*?)\}", CSS, re.DOTALL)
)
ON = ("paper", "sheet")
TEXT = [
    *((colour, ground) for colour in ("ink", "soft", "accent", "doubt") for ground in ON),
    ("wait", "wait-ground"),
    ("doubt", "doubt-ground"),
    ("ink", "doubt-ground"),
    ("good", "good-ground"),
    ("on-accent", "accent"),
    ("on-accent", "hover"),
    ("sheet", "doubt"),
]


def _luminance(colour: str) -> float:
    """Relative luminance, https://www.w3.org/TR/WCAG22/#dfn-relative-luminance."""
    shares = (int(colour[at : at + 2], 16) / 255 for at in (1, 3, 5))
    red, green, blue = (s / 12.92 if s <= 0.04045 else ((s + 0.055) / 1.055) ** 2.4 for s in shares)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def _contrast(one: str, other: str) -> float:
    """Contrast ratio, https://www.w3.org/TR/WCAG22/#dfn-contrast-ratio."""
    darker, lighter = sorted((_luminance(one), _luminance(other)))
    return (lighter + 0.05) / (darker + 0.05)


def test_the_formula_gives_the_ends_of_the_standard() -> None:
    assert _contrast("#000000", "#ffffff") == pytest.approx(21)
    assert _contrast("#777777", "#ffffff") == pytest.approx(4.48, abs=0.01)


@pytest.mark.parametrize("theme", [LIGHT, DARK], ids=["light", "dark"])
@pytest.mark.parametrize(("colour", "ground"), TEXT)
def test_text_can_be_read(theme: dict[str, str], colour: str, ground: str) -> None:
    """Success criterion 1.4.3: 4.5 to 1 at least."""
    assert _contrast(theme[colour], theme[ground]) >= 4.5


@pytest.mark.parametrize("theme", [LIGHT, DARK], ids=["light", "dark"])
@pytest.mark.parametrize("colour", ["line", "focus", "wait", "doubt"])
@pytest.mark.parametrize("ground", ON)
def test_edges_and_focus_can_be_seen(theme: dict[str, str], colour: str, ground: str) -> None:
    """Success criterion 1.4.11: 3 to 1 at least for what tells a control and its state."""
    assert _contrast(theme[colour], theme[ground]) >= 3
