"""The small pieces that HL7 FHIR R4 resources are made of, as plain JSON values."""

from collections.abc import Iterator
from datetime import datetime
from typing import Any
from uuid import NAMESPACE_URL, uuid5

from voicelog.records.coding import Code, Codes
from voicelog.records.visit import Visit

Json = dict[str, Any]

LOCAL = "urn:x-voicelog:code"
"""The system of our own codes, for what no published code says."""
NOT_CONFIRMED = "not confirmed, no part of the record"
_NAMESPACE = uuid5(NAMESPACE_URL, LOCAL)


def uuid_of(*key: object) -> str:
    """An id that is the same whenever the same thing is exported again."""
    return str(uuid5(_NAMESPACE, "/".join(map(str, key))))


def urn(identity: str) -> str:
    """The address of a resource inside the bundle."""
    return f"urn:uuid:{identity}"


def reference(identity: str) -> Json:
    """A pointer to another resource of the bundle."""
    return {"reference": urn(identity)}


def concept(text: str, *codes: Code | None, local: str | None = None) -> Json:
    """A CodeableConcept: the words, with the codes that are known for them."""
    found = [coding(code) for code in codes if code is not None]
    if local is not None:
        found.append({"system": LOCAL, "code": local})
    return {**({"coding": found} if found else {}), "text": text}


def coding(code: Code) -> Json:
    """A Coding, with its display where that was seen."""
    display = {"display": code.display} if code.display else {}
    return {"system": code.system, "code": code.code, **display}


def quantity(value: int, unit: str, code: Code | None) -> Json:
    """A Quantity, with the coded unit where one may be used."""
    coded = {"system": code.system, "code": code.code} if code is not None else {}
    return {"value": value, "unit": unit, **coded}


def instant(at: datetime) -> str:
    """A moment with its offset from UTC."""
    return at.isoformat()


def notes(*texts: str) -> list[Json]:
    """Annotations, without the empty ones."""
    return [{"text": text} for text in texts if text]


def filled(resource: Json) -> Json:
    """The resource without its empty parts, which FHIR does not allow."""
    return {name: value for name, value in resource.items() if value not in (None, "", [], {})}


def bundled(resources: Iterator[Json]) -> list[Json]:
    """The entries of a bundle."""
    return [{"fullUrl": urn(each["id"]), "resource": each} for each in resources]


def encounter(identity: str, patient: str, visit: Visit, codes: Codes) -> Json:
    """The visit itself, still in progress or finished."""
    code, ended = codes.of("ambulatory"), visit.ended_at
    return {
        "resourceType": "Encounter",
        "id": identity,
        "identifier": [{"system": "urn:x-voicelog:visit", "value": visit.visit_id}],
        "status": "in-progress" if ended is None else "finished",
        "class": coding(code) if code is not None else {"display": "ambulatory"},
        "subject": reference(patient),
        "period": filled(
            {
                "start": instant(visit.started_at),
                "end": instant(ended) if ended is not None else None,
            }
        ),
    }
