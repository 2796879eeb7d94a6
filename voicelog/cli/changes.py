"""`voicelog changes`: what each version brought."""

import sys
from pathlib import Path

from rich.console import Console
from rich.markdown import Markdown

CHANGES = Path(__file__).parents[1] / "CHANGES.md"


def changes() -> None:
    """Tell what each version brought, the newest first.

    Example: voicelog changes
    """
    text, console = CHANGES.read_text(encoding="utf-8"), Console()
    if console.is_terminal:
        console.print(Markdown(text))
    else:
        sys.stdout.write(text)
