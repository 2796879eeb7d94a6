"""What a language says on paper: sentences with blanks in braces, each under its own name."""

from typing import Annotated

from pydantic import BaseModel, ConfigDict, Field

Counted = Annotated[list[str], Field(min_length=2, max_length=2)]
"""A phrase for one thing, and the same for any other number of it."""
Filled = Annotated[str, Field(min_length=1)]
Line = Annotated[list[Filled], Field(min_length=1)]


class _Texts(BaseModel):
    model_config = ConfigDict(frozen=True, extra="forbid")


class HomeTexts(_Texts):
    """Everything that a client's home sheet says by itself."""

    title: Filled
    day: Filled
    months: Annotated[list[Filled], Field(min_length=12, max_length=12)]
    keep: Filled
    do: Filled
    remember: Filled
    call: Filled
    practice: Filled
    phone: Filled
    stop_heading: Filled
    stop: Line
    emergency: Filled
    reminder: Filled
    no_drills: Filled
    no_dose: Filled
    """Followed by a line to write on."""
    on_side: dict[str, Filled]
    """A drill with its side, by the side."""
    sets: Counted
    reps: Counted
    seconds: Counted
    sets_of_reps: Filled
    dose: Filled
    hold: Filled
    tempo: Filled
    effort: Filled


class Texts(_Texts):
    """All that is written in a language, by what it is written on."""

    home: HomeTexts


def counted(forms: Counted, count: int) -> str:
    """The phrase for that many."""
    return forms[0 if count == 1 else 1].format(count=count)
