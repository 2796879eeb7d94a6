"""A visit as JSON Lines: one JSON value to a line, for programs that read as they go."""

from typing import Annotated, Any, Literal

from pydantic import BaseModel, ConfigDict, Field, TypeAdapter

from voicelog.exports.base import CAUTION, VisitRecords
from voicelog.records.entry import Entry
from voicelog.records.visit import Visit

SUFFIX = ".jsonl"


class _Line(BaseModel):
    model_config = ConfigDict(frozen=True, extra="forbid")


class VisitLine(_Line):
    """The first line: the visit, and what to mind about all the others."""

    line: Literal["visit"] = "visit"
    schema_version: Literal[1] = 1
    """Grows with that of the format json, as both hold the same records."""
    caution: str = CAUTION
    visit: Visit


class RecordLine(_Line):
    """A record: the newest confirmed version of an entry."""

    line: Literal["record"] = "record"
    record: Entry


class UnconfirmedLine(_Line):
    """What was not confirmed and is no part of the record; there only when asked for."""

    line: Literal["unconfirmed"] = "unconfirmed"
    entry: Entry


AnyLine = Annotated[VisitLine | RecordLine | UnconfirmedLine, Field(discriminator="line")]


def render(visit: VisitRecords) -> str:
    """The visit, then its records in the order spoken, then what was not confirmed."""
    lines: list[_Line] = [VisitLine(visit=visit.visit)]
    lines.extend(RecordLine(record=entry) for entry in visit.records)
    lines.extend(UnconfirmedLine(entry=entry) for entry in visit.unconfirmed)
    return "".join(f"{line.model_dump_json()}\n" for line in lines)


def schema() -> dict[str, Any]:
    """The JSON Schema (draft 2020-12) of one line."""
    return TypeAdapter[AnyLine](AnyLine).json_schema(mode="serialization")
