"""A visit: one client, one sitting, from opening to end."""

from typing import Annotated

from pydantic import AwareDatetime, BaseModel, ConfigDict, StringConstraints

ClientCode = Annotated[
    str, StringConstraints(pattern=r"^[A-Za-z0-9][A-Za-z0-9_.-]{0,31}$", strip_whitespace=True)
]
"""The practice's own code for a client: letters, digits, dot, dash, underscore. Never a name."""
PRACTICE = "PRACTICE"
"""Stands in the place of a client's code where somebody practises: it counts in no caseload."""


class Visit(BaseModel):
    """One sitting with one client. `ended_at` is None while it is open, or after a crash."""

    model_config = ConfigDict(strict=True, frozen=True, extra="forbid")

    visit_id: str
    """The day and a running number, such as 2026-03-02-1."""
    client: ClientCode
    started_at: AwareDatetime
    ended_at: AwareDatetime | None = None
