"""The few pieces of Markdown that a note is made of, with every word kept from acting as markup."""

import re
from collections.abc import Iterable


def listed(heading: str, items: Iterable[str]) -> str:
    """A heading with a list of finished lines; nothing when there are none."""
    lines = [f"- {item}" for item in items]
    return "\n".join((heading, "", *lines)) if lines else ""


def table(columns: tuple[str, ...], rows: Iterable[tuple[str, ...]]) -> str:
    """A table of finished cells."""
    whole = (columns, ("---",) * len(columns), *rows)
    return "\n".join(f"| {' | '.join(row)} |" for row in whole)


def plain(text: str) -> str:
    """The text on one line, with everything escaped that Markdown would read as markup.

    Any ASCII punctuation may be escaped (CommonMark 0.31, section 2.4). Beyond the signs that
    mean something anywhere, that is what makes a list or a heading at the start of an item.
    """
    line = " ".join("".join(c if c.isprintable() else " " for c in text).split())
    line = re.sub(r"([\\`*_{}\[\]<>#|~&!])", r"\\\1", line)
    return re.sub(r"^(\d+(?=[.)])|(?=[-+=]))", r"\1\\", line)
