"""A visit as an HL7 FHIR R4 Bundle of type collection (https://hl7.org/fhir/R4/bundle.html).

Readings become Observations, trials and drills Procedures, and every confirmation and correction a
Provenance. A published code stands only where its source was seen and only where it says no more
than the record: the angle where pain starts is no range of motion, and neither is a range reached
while the joint was gapped or compressed, so these carry codes of our own.
"""

import json
from collections.abc import Iterator

from voicelog.analysis.comparison import Comparison
from voicelog.exports import wording
from voicelog.exports.base import CAUTION, VisitRecords
from voicelog.exports.fhir_parts import (
    NOT_CONFIRMED,
    Json,
    bundled,
    concept,
    encounter,
    filled,
    instant,
    notes,
    quantity,
    reference,
    uuid_of,
)
from voicelog.exports.fhir_provenance import provenances
from voicelog.records.content import Drill, Note, Trial
from voicelog.records.entry import Entry
from voicelog.telling.comparisons import comparison_words

SUFFIX = ".json"


def render(visit: VisitRecords) -> str:
    """The bundle as JSON. It has no time of its own: the same visit gives the same bundle."""
    whole = {
        "resourceType": "Bundle",
        "type": "collection",
        "entry": bundled(_Writer(visit).resources()),
    }
    return json.dumps(whole, ensure_ascii=False, indent=2) + "\n"


class _Writer:
    """Writes the resources of one visit; they point at each other by ids made from the records."""

    def __init__(self, visit: VisitRecords) -> None:
        self._all = visit
        self._visit = visit.visit
        self._codes = visit.codes
        self._patient = uuid_of("patient", self._visit.client)
        self._encounter = uuid_of("encounter", self._visit.visit_id)
        self._corrected = {entry.entry_id for entry in visit.earlier}
        self._readings: dict[tuple[str, str], str] = {}

    def resources(self) -> Iterator[Json]:
        yield {
            "resourceType": "Patient",
            "id": self._patient,
            "identifier": [{"system": "urn:x-voicelog:client", "value": self._visit.client}],
        }
        entries = (*self._all.records, *self._all.unconfirmed)
        for name in dict.fromkeys(e.by for e in (*self._all.earlier, *entries)):
            yield {
                "resourceType": "Practitioner",
                "id": uuid_of("practitioner", name),
                "name": [{"text": name}],
            }
        yield encounter(self._encounter, self._patient, self._visit, self._codes)
        for entry in entries:
            made = list(self._of(entry))
            yield from made
            own = [e for e in self._all.earlier if e.entry_id == entry.entry_id]
            yield from provenances([*own, entry], [each["id"] for each in made], self._codes)
        if self._all.findings is not None:
            for comparison in self._all.findings.compared.comparisons:
                yield from self._changes(comparison)

    def _of(self, entry: Entry) -> Iterator[Json]:
        match entry.content:
            case Trial():
                yield from self._trial(entry, entry.content)
            case Drill():
                yield self._procedure(
                    entry, entry.content.name, wording.sentence(entry.content, self._all.language)
                )
            case Note():
                yield self._observation(entry, "note", {"valueString": entry.content.text})
            case named:
                yield self._observation(entry, named.kind, {"valueString": named.name})

    def _trial(self, entry: Entry, trial: Trial) -> Iterator[Json]:
        about = self._about(trial)
        if trial.phase in ("gap", "compression"):
            told = wording.sentence(trial, self._all.language)
            done = self._procedure(entry, f"{trial.phase} trial", told, trial)
            about["partOf"] = [reference(done["id"])]
            yield done
        if trial.pain is not None:
            yield self._observation(entry, "pain", about | self._pain(trial.pain))
        if trial.onset_deg is not None:
            text = f"angle where pain starts, {wording.movement(trial, self._all.language)}"
            code: Json = {"code": concept(text, local="pain-start-angle")}
            angle = self._angle(trial, trial.onset_deg)
            yield self._observation(entry, "onset", about | angle | code)
        if trial.range_deg is not None:
            yield self._observation(entry, "range", about | self._range(trial, trial.range_deg))
        words = {
            "quality": ", ".join(trial.quality),
            "end-feel": trial.end_feel,
            "outcome": trial.outcome,
        }
        for name, said in words.items():
            if said:
                yield self._observation(entry, name, about | {"valueString": said})

    def _about(self, trial: Trial) -> Json:
        """What all readings of a trial share."""
        slots = {"phase": trial.phase, "manner": trial.manner, "position": trial.position}
        category = concept("exam", self._codes.of("exam"))
        return {
            "category": [category],
            "bodySite": self._site(trial),
            "component": [
                {"code": concept(name, local=name), "valueString": said}
                for name, said in slots.items()
                if said
            ],
            "note": notes(
                wording.movement(trial, self._all.language),
                wording.by_default(trial, self._all.language),
            ),
        }

    def _site(self, trial: Trial) -> Json:
        """Without a side at the spine, where left and right say which way the motion goes."""
        known = self._all.language.joints.get(trial.joint or "")
        side = trial.side if known is None or known.side == "needed" else None
        text = " ".join(word for word in (side, trial.joint) if word)
        return concept(text, self._codes.site(trial.joint, side)) if text else {}

    def _pain(self, pain: int) -> Json:
        return {
            "code": concept("pain, 0 to 10", self._codes.of("pain")),
            "valueQuantity": quantity(pain, "score 0-10", self._codes.of("score")),
        }

    def _angle(self, trial: Trial, degrees: int) -> Json:
        return {
            "valueQuantity": quantity(degrees, "deg", self._codes.of("degrees")),
            "method": {"text": trial.instrument} if trial.instrument else None,
        }

    def _range(self, trial: Trial, degrees: int) -> Json:
        value = self._angle(trial, degrees)
        movement = wording.movement(trial, self._all.language)
        if trial.phase in ("gap", "compression"):
            text = f"range in the {trial.phase} trial, {movement}"
            return {**value, "code": concept(text, local=f"range-in-{trial.phase}-trial")}
        code = self._codes.range(trial.joint, trial.motion, trial.side, trial.manner)
        coded = concept(f"range of {movement}", code or self._codes.of("any range"))
        # A code that holds the side leaves nothing for bodySite to say, and so nothing to differ.
        own_site: Json = {"bodySite": None} if code is not None and code.side else {}
        return {**value, "code": coded, **own_site}

    def _observation(self, entry: Entry, part: str, values: Json) -> Json:
        identity = uuid_of(entry.entry_id, entry.version, part)
        if entry.status == "confirmed":
            self._readings[entry.entry_id, part] = identity
        status = "corrected" if entry.entry_id in self._corrected else "final"
        waits = entry.status == "unconfirmed"
        own_notes = values.get("note", []) + notes(NOT_CONFIRMED if waits else "")
        return filled(
            {
                "resourceType": "Observation",
                "id": identity,
                "identifier": [{"system": "urn:x-voicelog:entry", "value": entry.entry_id}],
                "meta": {"versionId": str(entry.version)},
                "status": "preliminary" if waits else status,
                "code": concept(part.replace("-", " "), local=part),
                "subject": reference(self._patient),
                "encounter": reference(self._encounter),
                "effectiveDateTime": instant(entry.spoken_at),
                "issued": instant(entry.at),
                "performer": [reference(uuid_of("practitioner", entry.by))],
                **values,
                "note": own_notes,
            }
        )

    def _procedure(self, entry: Entry, what: str, told: str, trial: Trial | None = None) -> Json:
        waits = entry.status == "unconfirmed"
        site = self._site(trial) if trial else {}
        return filled(
            {
                "resourceType": "Procedure",
                "id": uuid_of(entry.entry_id, entry.version, "done"),
                "identifier": [{"system": "urn:x-voicelog:entry", "value": entry.entry_id}],
                "meta": {"versionId": str(entry.version)},
                "status": "unknown" if waits else _how_far(trial),
                "code": concept(what),
                "subject": reference(self._patient),
                "encounter": reference(self._encounter),
                "performedDateTime": instant(entry.spoken_at),
                "performer": [{"actor": reference(uuid_of("practitioner", entry.by))}],
                "bodySite": [site] if site else None,
                "note": notes(told, NOT_CONFIRMED if waits else ""),
            }
        )

    def _changes(self, comparison: Comparison) -> Iterator[Json]:
        """What a trial changed against its baseline, pointing at both readings."""
        records = {entry.entry_id: entry for entry in self._all.records}
        changes = {
            "pain": comparison.pain,
            "range": comparison.range,
            "onset": comparison.onset,
        }
        degrees = ("deg", "degrees")
        units = {"pain": ("points", "score"), "range": degrees, "onset": degrees}
        for part, change in changes.items():
            trial = records.get(comparison.trial)
            if change is None or trial is None:
                continue
            both = (comparison.baseline, comparison.trial)
            readings = [self._reading(str(entry_id), part) for entry_id in both]
            unit, use = units[part]
            code = self._codes.of("score" if use == "score" else "degrees")
            value = {
                "category": [concept("exam", self._codes.of("exam"))],
                "valueQuantity": quantity(change.change, unit, code),
                "interpretation": [{"text": str(change.label)}] if change.label else None,
                "note": notes(comparison_words(comparison, self._all.language), CAUTION),
                "derivedFrom": [reference(each) for each in readings if each is not None],
            }
            yield self._observation(trial, f"{part}-change", value)

    def _reading(self, entry_id: str, part: str) -> str | None:
        """What was read; a repetition free of pain is that of a pain without a number."""
        instead = "outcome" if part == "pain" else part
        return self._readings.get((entry_id, part)) or self._readings.get((entry_id, instead))


def _how_far(trial: Trial | None) -> str:
    """FHIR R4, valueset-event-status.html: a trial that could not be done is not completed."""
    if trial is None or trial.outcome != "unable":
        return "completed"
    return "not-done" if trial.pain is None and not trial.angles else "stopped"
