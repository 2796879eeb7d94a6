"""What was asked before the first trial, and who gave clearance: health data, kept small."""

from datetime import date
from typing import Annotated, Literal

from pydantic import AwareDatetime, BaseModel, ConfigDict, Field, StringConstraints

from voicelog.records.visit import ClientCode

Text = Annotated[str, StringConstraints(strip_whitespace=True, min_length=1)]


class _Frozen(BaseModel):
    model_config = ConfigDict(strict=True, frozen=True, extra="forbid")


class ScreenAnswer(_Frozen):
    """One question of the safety screen, asked and answered. No answer on file means not asked."""

    client: ClientCode
    item: Text
    """The question's id, such as A1 or B2.3."""
    answer: Literal["yes", "no", "unsure"]
    asked_by: Text
    asked_at: AwareDatetime
    note: str = ""
    joints: tuple[Text, ...] = ()
    """The joints that a yes or unsure is about; empty for every joint."""


class Clearance(_Frozen):
    """A licensed person's clearance for items answered with yes or unsure, as it was entered."""

    client: ClientCode
    items: Annotated[tuple[Text, ...], Field(min_length=1)]
    given_by: Text
    given_on: date
    entered_by: Text
    entered_at: AwareDatetime
    limits: str = ""
    """Limits that came with it, in the words of who gave it."""
