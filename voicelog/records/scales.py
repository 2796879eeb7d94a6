"""Companion scales that a client answers: own activities, and a global rating of change."""

from typing import Annotated, Literal, Self

from pydantic import (
    AwareDatetime,
    BaseModel,
    ConfigDict,
    Field,
    StringConstraints,
    model_validator,
)

from voicelog.records.visit import ClientCode

Region = Literal["upper limb", "knee", "neck", "back", "any"]
"""The region a published figure was found in; "any" where no closer one fits."""


class _Answered(BaseModel):
    model_config = ConfigDict(strict=True, frozen=True, extra="forbid")

    client: ClientCode
    visit_id: str | None = None
    """The visit it was answered in; None when it came before the first."""
    at: AwareDatetime
    by: str
    region: Region = "any"


class Activity(BaseModel):
    """One activity the client named: 0 cannot do it, 10 as before the problem."""

    model_config = ConfigDict(strict=True, frozen=True, extra="forbid")

    name: Annotated[str, StringConstraints(strip_whitespace=True, min_length=1)]
    score: Annotated[int, Field(ge=0, le=10)]


class FunctionScore(_Answered):
    """Patient-Specific Functional Scale: 3 to 5 activities, higher is better (PSFS_OTAGO, seen)."""

    kind: Literal["psfs"] = "psfs"
    activities: Annotated[tuple[Activity, ...], Field(min_length=3, max_length=5)]

    @property
    def average(self) -> float:
        """The score of the scale: the mean of the activities, 0-10."""
        return sum(activity.score for activity in self.activities) / len(self.activities)


class ChangeRating(_Answered):
    """Global rating of change by the client: negative is worse, 0 the same, positive better.

    The 11-point form goes from -5 to 5, the 15-point form from -7 to 7.
    """

    kind: Literal["grc"] = "grc"
    form: Literal["11 points", "15 points"]
    score: int

    @model_validator(mode="after")
    def _within_its_form(self) -> Self:
        end = 5 if self.form == "11 points" else 7
        if not -end <= self.score <= end:
            raise ValueError(f"the {self.form} form goes from -{end} to {end}")
        return self
