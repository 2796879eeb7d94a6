"""The published schemas of the formats that programs read."""

import json
from collections.abc import Callable
from typing import Any

from pydantic import BaseModel, ConfigDict

from voicelog.errors import ExportError
from voicelog.exports import csv, jsonl
from voicelog.records.entry import Entry
from voicelog.records.visit import Visit

_DRAFT = "https://json-schema.org/draft/2020-12/schema"


class _Whole(BaseModel):
    """The object that the format json writes; see `voicelog.exports.json`."""

    model_config = ConfigDict(title="Visit", extra="forbid")

    schema_version: int
    caution: str
    visit: Visit
    records: tuple[Entry, ...]
    unconfirmed: tuple[Entry, ...]
    findings: dict[str, Any] | None


def _object() -> dict[str, Any]:
    return {"$schema": _DRAFT, **_Whole.model_json_schema(mode="serialization")}


def _line() -> dict[str, Any]:
    return {"$schema": _DRAFT, **jsonl.schema()}


_SCHEMAS: dict[str, Callable[[], dict[str, Any]]] = {
    "csv": csv.schema,
    "json": _object,
    "jsonl": _line,
}
"""csv: Frictionless Table Schema. json and jsonl: JSON Schema, of the object and of one line."""


def published() -> tuple[str, ...]:
    """The formats that have a schema."""
    return tuple(_SCHEMAS)


def schema_text(name: str) -> str:
    """The schema of a format as JSON text. Raises ExportError for a format without one."""
    if name not in _SCHEMAS:
        raise ExportError(
            f"The format {name} has no schema of its own",
            kept="Nothing was written",
            do=f"Choose one of {', '.join(_SCHEMAS)}",
        )
    return json.dumps(_SCHEMAS[name](), ensure_ascii=False, indent=2) + "\n"
