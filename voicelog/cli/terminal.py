"""The person at the terminal: asked for a secret unseen, told a line beside the data."""

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
        """Say one line on standard error; on a screen it breaks between words."""
        on_screen = sys.stderr.isatty()
        Console(stderr=True, highlight=False).print(line, markup=False, soft_wrap=not on_screen)
