"""Short questions at the keyboard, with an answer for who only presses Enter."""

import sys
from collections.abc import Mapping

from rich.console import Console

_ANSWERS = {"y": True, "yes": True, "n": False, "no": False}


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
    """Whether the answer is yes; asked again after anything that is neither yes nor no."""
    keys, usual = ("Y/n", "yes") if otherwise else ("y/N", "no")
    while (typed := ask(console, f"{question} [{keys}]", usual).lower()) not in _ANSWERS:
        console.print("That is neither y nor n.")
    return _ANSWERS[typed]


def one_key(console: Console, meanings: Mapping[str, str]) -> str:
    """Which of the letters was typed, "" for Enter alone; asked again after anything else."""
    offer = " · ".join(f"{key or 'Enter'}: {what}" for key, what in meanings.items())
    while (typed := ask(console, f"{offer} >").lower()) not in meanings:
        console.print("That is none of these; nothing was done.")
    return typed
