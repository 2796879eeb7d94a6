"""Where something stands in a TOML file, so that a mistake can be told with its line."""

import re
from collections.abc import Sequence


def line_of(text: str, keys: Sequence[str]) -> int | None:
    """The line, from 1, of the last key that is found; each is looked for from the line of the one
    before it, and what stands nowhere (an index, say) is passed over. None when none is found."""
    lines = [line.split("#", 1)[0] for line in text.splitlines()]
    start, found = 0, None
    for key in keys:
        name = rf'"?{re.escape(key)}"?'
        pattern = re.compile(
            rf"^\s*{name}\s*[.=]|^\s*\[(.*\.)?\s*{name}\s*[.\]]|[{{.,]\s*{name}\s*="
        )
        for number in range(start, len(lines)):
            if pattern.search(lines[number]):
                start, found = number, number + 1
                break
    return found
