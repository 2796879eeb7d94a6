"""The person at the terminal: asked for a secret unseen, told lines beside the data."""

import getpass
import sys

from rich.console import Console


class Terminal:
    """Asks only where somebody can answer: where standard input is a terminal."""

    def ask(self, question: str) -> str | None:
        """A secret typed unseen; None when there is nobody to ask."""
        if sys.stdin is None or not sys.stdin.isatty():
            return None
        try:
            return getpass.getpass(f"{question}: ", stream=sys.stderr)
        except EOFError:
            return None

    def tell(self, line: str) -> None:
        """Say one line."""
        say(line)


def say(line: str, style: str | None = None) -> None:
    """Say a line on standard error. On a screen it breaks between words, so that a key or a name
    can be read off; in a file or pipe it stays one line, so that it can be searched."""
    # Brackets in a path or a value are signs, and no markup.
    console = Console(stderr=True, highlight=False)
    console.print(line, style=style, markup=False, soft_wrap=not console.is_terminal)
