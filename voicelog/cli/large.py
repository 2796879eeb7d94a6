"""Letters so large that they can be read from two metres, drawn with those of a terminal."""

from functools import cache

from pyfiglet import Figlet
from rich.cells import cell_len, set_cell_size

_SOLID, _SMALLER = "ansi_regular", "small"
_SPACE = 2


def large(text: str, width: int, solid: bool = True) -> str:
    """The text in solid letters five lines high, or in smaller ones where these are too wide.

    A word whose script the letters lack, such as Hangul, stands among them as it is, its letters
    set apart: numbers and signs are large in every language.
    """
    for font in (_SOLID, _SMALLER)[not solid :]:
        lines = _drawn(text, font)
        if max(map(cell_len, lines)) <= width:
            return "\n".join(line.rstrip() for line in lines)
    return text


def _drawn(text: str, font: str) -> list[str]:
    if text.isascii():
        return _letters(text, font)
    words = [_letters(w, font) if w.isascii() else [" ".join(w)] for w in text.split()]
    high = len(_letters("0", font))
    blocks = [_block(word, high) for word in words]
    return [(" " * _SPACE).join(row) for row in zip(*blocks, strict=True)]


def _block(lines: list[str], high: int) -> list[str]:
    """The lines as wide as the widest, in the middle of so many."""
    wide = max(map(cell_len, lines))
    above = (high - len(lines)) // 2
    empty = [" " * wide]
    below = high - len(lines) - above
    return [*empty * above, *(set_cell_size(line, wide) for line in lines), *empty * below]


def _letters(text: str, font: str) -> list[str]:
    drawn = _figlet(font).renderText(text).rstrip("\n")
    return [line.rstrip() for line in drawn.splitlines() if line.strip()]


@cache
def _figlet(font: str) -> Figlet:
    return Figlet(font=font, width=1000)
