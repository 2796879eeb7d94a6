"""What a language says around the tables of the terminal: headings, captions, short cells."""

from typing import Annotated

from pydantic import Field

from voicelog.grammar.finding_texts import Filled, TextSet, for_each_of

Six = Annotated[list[str], Field(min_length=6, max_length=6)]


class Cells(TextSet):
    """Values as they stand in a cell."""

    onset: Filled


class RecordsTable(TextSet):
    """The records of the visit that just ended."""

    title: Filled
    columns: Six


REVIEW_KEYS = (
    "Enter, n", "g 3", "l", "p", "1 to 9", "shorthand", "a", "x", "d", "u", "k", "= TEXT", "r LINE",
    "q",
)  # fmt: skip
"""What can be entered in a review."""
REVIEW_STATES = ("discarded", "taken out", "not affirmed", "unheard", "unsure", "saved")
REVIEW_QUESTIONS = ("discard", "take out", "unaffirm", "save")
REVIEW_DONE = ("saved", "saved anew", "discarded", "taken out", "waits")


class ReviewTexts(TextSet):
    """A visit that is put right line by line."""

    what: Filled
    to_do: Filled
    heard: Filled
    unsure_slot: Filled
    missing: Filled
    sound: Filled
    no_sound: Filled
    found: Filled
    found_or: str
    doubtful: Filled
    unread: Filled
    nothing: Filled
    still_missing: Filled
    a_note: Filled
    go: Filled
    left: Filled
    say_why: Filled
    only_note_compared: Filled
    only_note_text: Filled
    states: Annotated[dict[str, Filled], for_each_of(*REVIEW_STATES)]
    questions: Annotated[dict[str, Filled], for_each_of(*REVIEW_QUESTIONS)]
    done: Annotated[dict[str, Filled], for_each_of(*REVIEW_DONE)]
    entered: Annotated[
        dict[str, Filled], for_each_of("Enter, n", "1 to 9", "shorthand", "= TEXT", "r LINE")
    ]
    """How a key is written where it is no letter of its own."""
    keys: Annotated[dict[str, Filled], for_each_of(*REVIEW_KEYS)]


class TableTexts(TextSet):
    """The tables, by the command that shows them."""

    cells: Cells
    records: RecordsTable
    review: ReviewTexts
