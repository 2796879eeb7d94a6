"""Short questions at the keyboard, with an answer for who only presses Enter."""

import sys

from rich.console import Console


def ask(console: Console, question: str, otherwise: str = "") -> str:
    """What was typed; `otherwise` for an empty line or where nobody can type."""
    console.print(question, end=" ", markup=False)
    try:
        typed = input().strip()
    except EOFError:
        console.print()
        return otherwise
    if not sys.stdin.isatty():
        console.print(typed, markup=False)
    return typed or otherwise


def agrees(console: Console, question: str, *, otherwise: bool) -> bool:
    """Whether the answer is yes."""
    keys = "Y/n" if otherwise else "y/N"
    return ask(console, f"{question} [{keys}]", "y" if otherwise else "n").lower() in ("y", "yes")
