"""A visit as one JSON object, with everything known about each record."""

import json

from voicelog.exports.base import CAUTION, VisitRecords
from voicelog.telling.data import findings_data

SUFFIX = ".json"
SCHEMA_VERSION = 1
"""Grows when a key is renamed, removed or changes its meaning; not when one is added."""


def render(visit: VisitRecords) -> str:
    """One object: `schema_version`, `caution`, `visit`, `records`, `unconfirmed`, `findings`.

    Times are ISO 8601 with their offset from UTC; units stand in the names of the keys.
    """
    whole = {
        "schema_version": SCHEMA_VERSION,
        "caution": CAUTION,
        "visit": visit.visit.model_dump(mode="json"),
        "records": [entry.model_dump(mode="json") for entry in visit.records],
        "unconfirmed": [entry.model_dump(mode="json") for entry in visit.unconfirmed],
        "findings": None
        if visit.findings is None
        else findings_data(visit.findings, visit.language),
    }
    return json.dumps(whole, ensure_ascii=False, indent=2) + "\n"
