"""Short questions at the keyboard, with an answer for who only presses Enter."""

import sys
from collections.abc import Mapping

from rich.console import Console

_ANSWERS = {"y": True, "yes": True, "n": False, "no": False}


def ask(console: Console, question: str, otherwise: str = "") -> str:
    """What was typed; `otherwise` for an empty line. Raises EOFError at the end of the input: that
    is nobody's answer."""
    console.print(question, end=" ", markup=False)
    typed = input().strip()
    if not sys.stdin.isatty():
        console.print(typed, markup=False)
    return typed or otherwise


def agrees(console: Console, question: str, *, otherwise: bool) -> bool:
    """Whether the answer is yes; asked again after anything that is neither. Raises EOFError."""
    keys, usual = ("Y/n", "yes") if otherwise else ("y/N", "no")
    while (typed := ask(console, f"{question} [{keys}]", usual).lower()) not in _ANSWERS:
        console.print("That is neither y nor n.")
    return _ANSWERS[typed]


def one_key(console: Console, meanings: Mapping[str, str]) -> str:
    """Which of the letters was typed, "" for Enter alone; asked again after any other. Raises
    EOFError."""
    offer = " · ".join(f"{key or 'Enter'}: {what}" for key, what in meanings.items())
    while (typed := ask(console, f"{offer} >").lower()) not in meanings:
        console.print("That is none of these; nothing was done.")
    return typed
