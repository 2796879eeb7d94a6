"""A visit as a table for spreadsheets and statistics: one row for each record."""

import csv
import io
from typing import Any

from voicelog.exports.base import VisitRecords
from voicelog.records.content import Cue, Drill, Fault, Note, Trial
from voicelog.records.entry import Entry

SUFFIX = ".csv"

_CONTENT = tuple(
    dict.fromkeys(name for kind in (Trial, Drill, Fault, Cue, Note) for name in kind.model_fields)
)
COLUMNS = (
    *("status", "visit_id", "client", "entry_id", "version", "spoken_at"),
    *("version_at", "version_by", "affirmed_by", "heard"),
    *_CONTENT,
)
"""The header. What a kind of record does not have stays empty in its row."""

_WHOLE_NUMBERS = {
    "version": (1, None),
    "range_deg": (0, 180),
    "onset_deg": (0, 180),
    "pain": (0, 10),
    "sets": (1, 20),
    "reps": (1, 100),
    "hold_s": (1, 180),
    "effort": (0, 10),
}
_CHOICES = {
    "status": ("confirmed", "unconfirmed"),
    "kind": ("record", "drill", "fault", "cue", "note"),
    "side": ("left", "right", "both"),
    "phase": ("baseline", "gap", "compression", "retest"),
    "outcome": ("pain free rep", "unable"),
    "direction": ("gap", "compression"),
    "affirmed_by": ("voice", "key", "desk"),
}
_REQUIRED = ("status", "visit_id", "client", "entry_id", "version", "spoken_at", "version_at")

_STARTS_FORMULA = ("=", "+", "-", "@", "\t", "\r", "\n", "\0", "＝", "＋", "－", "＠")


def render(visit: VisitRecords) -> str:
    """Rows as RFC 4180 has them: commas, CRLF, quotes doubled. Unconfirmed ones come last and
    say so in the column `status`. Several values in one cell are divided by "; "."""
    text = io.StringIO()
    writer = csv.DictWriter(text, COLUMNS, restval="", lineterminator="\r\n")
    writer.writeheader()
    for entry in (*visit.records, *visit.unconfirmed):
        writer.writerow({name: _cell(value) for name, value in _row(entry).items()})
    return text.getvalue()


def schema() -> dict[str, Any]:
    """The table's shape as a Frictionless Table Schema (specs.frictionlessdata.io/table-schema)."""
    return {
        "$schema": "https://specs.frictionlessdata.io/schemas/table-schema.json",
        "fields": [_field(name) for name in COLUMNS],
        "missingValues": [""],
        "primaryKey": ["entry_id", "version"],
    }


def _field(name: str) -> dict[str, Any]:
    required = {"required": True} if name in _REQUIRED else {}
    if name in _WHOLE_NUMBERS:
        least, most = _WHOLE_NUMBERS[name]
        limits = {"minimum": least, **({} if most is None else {"maximum": most})}
        return {"name": name, "type": "integer", "constraints": limits | required}
    if name == "checked":
        return {"name": name, "type": "boolean", "trueValues": ["true"], "falseValues": ["false"]}
    if name in ("spoken_at", "version_at"):
        return {"name": name, "type": "datetime", "format": "any", "constraints": required}
    choices = {"enum": list(_CHOICES[name])} if name in _CHOICES else {}
    constraints = choices | required
    return {"name": name, "type": "string"} | ({"constraints": constraints} if constraints else {})


def _row(entry: Entry) -> dict[str, Any]:
    return {
        "status": entry.status,
        "visit_id": entry.visit_id,
        "client": entry.client,
        "entry_id": entry.entry_id,
        "version": entry.version,
        "spoken_at": entry.spoken_at.isoformat(),
        "version_at": entry.at.isoformat(),
        "version_by": entry.by,
        "affirmed_by": entry.affirmed.by if entry.affirmed else None,
        "heard": tuple(evidence.text for evidence in entry.evidence),
        **entry.content.model_dump(),
    }


def _cell(value: object) -> str:
    """A value as text that no spreadsheet takes for a formula.

    OWASP ASVS 5.0, requirement 1.2.10: an apostrophe before a cell that starts like one. Blanks
    before the sign are looked through, because some spreadsheets strip them.
    """
    if value is None:
        return ""
    if isinstance(value, bool):
        return "true" if value else "false"
    text = "; ".join(map(str, value)) if isinstance(value, tuple) else str(value)
    suspicious = text.startswith(_STARTS_FORMULA) or text.lstrip().startswith(_STARTS_FORMULA)
    return f"'{text}" if suspicious else text
