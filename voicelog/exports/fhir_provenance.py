"""Who confirmed a record and who corrected it, as FHIR R4 Provenance."""

from collections.abc import Iterator, Sequence

from voicelog.exports.fhir_parts import (
    NOT_CONFIRMED,
    Json,
    concept,
    filled,
    instant,
    reference,
    uuid_of,
)
from voicelog.records.coding import Codes
from voicelog.records.entry import Entry

_HAND = {"voice": "by voice", "key": "by key", "desk": "afterwards"}


def provenances(versions: Sequence[Entry], made: list[str], codes: Codes) -> Iterator[Json]:
    """One for each version of an entry, oldest first, about the resources `made` from it."""
    before: Entry | None = None
    for version in versions:
        yield _provenance(version, before, made, codes)
        before = version


def _provenance(version: Entry, before: Entry | None, made: list[str], codes: Codes) -> Json:
    who = reference(uuid_of("practitioner", version.by))
    author = {"type": concept("author", codes.of("author")), "who": who}
    verifier = {"type": concept("verifier", codes.of("verifier")), "who": who}
    yes = version.affirmed
    told = NOT_CONFIRMED if yes is None else f"confirmed {_HAND[yes.by]}"
    entities: list[Json] = [
        {"role": "source", "what": {"display": f"heard: {evidence.text}"}}
        for evidence in version.evidence
    ]
    if before is not None:
        told = f"corrected and {told}"
        replaced = {"value": f"{before.entry_id} version {before.version}"}
        entities.append({"role": "revision", "what": {"identifier": replaced}})
    return filled(
        {
            "resourceType": "Provenance",
            "id": uuid_of(version.entry_id, version.version, "provenance"),
            "target": [reference(each) for each in made],
            "occurredDateTime": instant(version.spoken_at),
            "recorded": instant(version.at),
            "activity": {"text": told},
            "reason": [{"text": version.why}] if version.why else None,
            "agent": [author] if yes is None else [author, verifier],
            "entity": entities,
        }
    )
