"""What a language says on the screen of a visit, while it is dictated and right after."""

from typing import Annotated

from voicelog.grammar.finding_texts import Filled, TextSet, for_each_of

STATES = (
    "listening", "speaking", "confirm", "asking", "saved", "paused", "closing", "trouble", "ended",
)  # fmt: skip
"""What the screen can show large."""
FACTS = ("saved", "set aside", "dropped", "lost", "back")
"""What happened, where nobody said it aloud."""


class ListeningTexts(TextSet):
    """The screen of a visit: its state, what would be saved, and what became of it."""

    states: Annotated[dict[str, Filled], for_each_of(*STATES)]
    """Shown large, so a word or two."""
    facts: Annotated[dict[str, Filled], for_each_of(*FACTS)]
    you: Filled
    """Stands before what she said."""
    pain: Filled
    range: Filled
    saved: Filled
    aside: Filled
    getting_ready: Filled
    set_back: Filled
    """Before a visit, where the machine's clock is behind the newest one."""
    taken_up: Filled
    screen: Filled
    """A line of the safety screen."""
    nothing_heard: Filled
    """In place of the records, where there is none."""
    not_affirmed: Filled
    not_kept: Filled
    type_done: Filled
    """How to put down later what was done after a stop event."""
    kept_in: Filled
    broke_off: Filled
    unread: Filled
    """Why a visit broke off whose output nobody takes any more."""
    kept: Filled
    kept_aside: Filled
