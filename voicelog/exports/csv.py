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
