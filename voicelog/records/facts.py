"""What is on file about a client beside the visits: the safety screen and the companion scales."""

from typing import TypeVar

from pydantic import BaseModel

from voicelog.records.scales import ChangeRating, FunctionScore
from voicelog.records.screen import Clearance, ScreenAnswer

ClientFact = ScreenAnswer | Clearance | FunctionScore | ChangeRating
"""Each carries its client, its time and who put it on file; it is added to, never changed."""
Fact = TypeVar("Fact", bound=ClientFact)

KINDS: dict[type[BaseModel], str] = {
    ScreenAnswer: "answer",
    Clearance: "clearance",
    FunctionScore: "function",
    ChangeRating: "rating",
}
"""The name under which a store keeps each kind."""
