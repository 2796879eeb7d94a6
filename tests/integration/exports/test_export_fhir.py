"""The FHIR bundle, held against the standard's own models and the code systems' own rules.

Models: fhir.resources, R4B (FHIR 4.3.0). R4B left the resources used here as they are in R4 (4.0.1)
(from memory).
"""

import json
import os
import re
from collections.abc import Iterator
from dataclasses import replace
from importlib.resources import files
from pathlib import Path
from typing import Any

import pytest
from fhir.resources.R4B.bundle import Bundle
from stdnum import luhn, verhoeff

from voicelog.data_files.reference_tables import load_codes
from voicelog.exports import load
from voicelog.exports.base import VisitRecords
from voicelog.handover import Wish
from voicelog.records.coding import Code, Codes

SHARED = Path(os.environ.get("VOICELOG_SHARED", Path(__file__).parents[3].parent / "shared"))
PAGE = SHARED / "reference" / "coding.md"
LOINC, SNOMED = "http://loinc.org", "http://snomed.info/sct"
Filled = tuple[Any, Any]


def bundle(visit: VisitRecords) -> dict[str, Any]:
    text = load("fhir").render(visit)
    Bundle.model_validate_json(text)
    found: dict[str, Any] = json.loads(text)
    return found


def resources(visit: VisitRecords, kind: str) -> list[dict[str, Any]]:
    found = (entry["resource"] for entry in bundle(visit)["entry"])
    return [resource for resource in found if resource["resourceType"] == kind]


def observed(visit: VisitRecords, text: str) -> list[dict[str, Any]]:
    return [o for o in resources(visit, "Observation") if o["code"]["text"].startswith(text)]


def systems(value: Any) -> Iterator[str]:
    match value:
        case {"system": str(system), **rest} if "code" in rest:
            yield system
        case dict():
            for inner in value.values():
                yield from systems(inner)
        case list():
            for inner in value:
                yield from systems(inner)


def walk(value: Any) -> Iterator[Any]:
    yield value
    inner = value.values() if isinstance(value, dict) else value if isinstance(value, list) else ()
    for each in inner:
        yield from walk(each)


@pytest.mark.parametrize("wish", [Wish(), Wish(unconfirmed=True), Wish(codes=False)], ids=repr)
def test_the_models_of_the_standard_take_the_bundle(filled: Filled, wish: Wish) -> None:
    practice, visit = filled
    whole = bundle(practice.hand_over(visit, wish))
    assert (whole["resourceType"], whole["type"]) == ("Bundle", "collection")
    kinds = {entry["resource"]["resourceType"] for entry in whole["entry"]}
    assert kinds == {
        *("Patient", "Practitioner", "Encounter", "Observation", "Procedure", "Provenance"),
    }


def test_nothing_is_empty_and_every_reference_leads_somewhere(filled: Filled) -> None:
    """FHIR R4, json.html: no empty values; bundle.html, bdl-7: each fullUrl once."""
    practice, visit = filled
    whole = bundle(practice.hand_over(visit, Wish(unconfirmed=True)))
    assert not [value for value in walk(whole) if value in ("", [], {}, None)]
    urls = [entry["fullUrl"] for entry in whole["entry"]]
    assert len(set(urls)) == len(urls)
    pointed = {v["reference"] for v in walk(whole) if isinstance(v, dict) and "reference" in v}
    assert pointed <= set(urls)
    assert all(e["fullUrl"] == f"urn:uuid:{e['resource']['id']}" for e in whole["entry"])


def test_pain_is_a_plain_number_under_its_loinc_code(filled: Filled) -> None:
    practice, visit = filled
    pains = observed(practice.hand_over(visit), "pain, 0 to 10")
    assert [o["valueQuantity"]["value"] for o in pains] == [6, 3, 2, 2, 1]
    for pain in pains:
        assert pain["code"]["coding"] == [{"system": LOINC, "code": "72514-3"}]
        assert pain["valueQuantity"]["system"] == "http://unitsofmeasure.org"
        assert pain["category"][0]["coding"][0]["code"] == "exam"


def test_where_pain_starts_is_never_coded_as_a_range_of_motion(filled: Filled) -> None:
    practice, visit = filled
    starts = observed(practice.hand_over(visit), "angle where pain starts")
    assert [o["valueQuantity"]["value"] for o in starts] == [12, 12]
    for start in starts:
        assert [c["code"] for c in start["code"]["coding"]] == ["pain-start-angle"]
        assert start["bodySite"]["coding"][0]["code"] == "51636004"


def test_a_range_reached_in_a_trial_is_never_coded_as_a_plain_range(filled: Filled) -> None:
    practice, visit = filled
    (reached,) = observed(practice.hand_over(visit), "range in the gap trial")
    assert [c["system"] for c in reached["code"]["coding"]] == ["urn:x-voicelog:code"]
    done = {p["id"]: p for p in resources(practice.hand_over(visit), "Procedure")}
    (part_of,) = reached["partOf"]
    assert done[part_of["reference"].removeprefix("urn:uuid:")]["code"]["text"] == "gap trial"


def test_a_range_has_the_code_of_its_joint_motion_side_and_manner(filled: Filled) -> None:
    practice, visit = filled
    knee, shoulder = observed(practice.hand_over(visit), "range of")
    assert knee["code"]["coding"] == [{"system": LOINC, "code": "41343-5"}]
    assert knee["method"] == {"text": "goniometer"}
    assert "bodySite" not in knee, "the code holds the side, so no other place may disagree"
    assert shoulder["code"]["coding"] == [{"system": LOINC, "code": "41392-2"}]
    assert shoulder["bodySite"]["coding"][0]["code"] == "91774008"
    assert shoulder["valueQuantity"] == {
        "value": 60, "unit": "deg", "system": "http://unitsofmeasure.org", "code": "deg",
    }  # fmt: skip


def test_a_correction_is_marked_and_says_who_made_it(filled: Filled) -> None:
    practice, visit = filled
    handed = practice.hand_over(visit)
    (knee,) = observed(handed, "range of left knee")
    assert (knee["status"], knee["meta"]["versionId"]) == ("corrected", "4")
    others = [o["status"] for o in observed(handed, "pain, 0 to 10")]
    assert others == ["final", "final", "final", "corrected", "final"]
    names = {p["id"]: p["name"][0]["text"] for p in resources(handed, "Practitioner")}
    about = [
        p for p in resources(handed, "Provenance")
        if {"reference": f"urn:uuid:{knee['id']}"} in p["target"]
    ]  # fmt: skip
    assert [p["activity"]["text"] for p in about] == [
        "confirmed by voice",
        "corrected and confirmed afterwards",
    ]
    who = [names[p["agent"][-1]["who"]["reference"].removeprefix("urn:uuid:")] for p in about]
    assert who == ["AB", "CD"]
    assert about[1]["agent"][-1]["type"]["coding"][0]["code"] == "verifier"
    assert about[1]["entity"][-1]["role"] == "revision"


def test_what_was_not_confirmed_is_preliminary_and_says_so(filled: Filled) -> None:
    practice, visit = filled
    asked = observed(practice.hand_over(visit, Wish(unconfirmed=True)), "pain, 0 to 10")
    (waiting,) = [o for o in asked if o["status"] == "preliminary"]
    assert waiting["valueQuantity"]["value"] == 9
    assert "not confirmed" in waiting["note"][-1]["text"]


def test_a_change_points_at_both_readings(filled: Filled) -> None:
    practice, visit = filled
    handed = practice.hand_over(visit)
    pains = {f"urn:uuid:{o['id']}" for o in observed(handed, "pain, 0 to 10")}
    changes = observed(handed, "pain change")
    assert [o["valueQuantity"]["value"] for o in changes] == [-3, -4]
    for change in changes:
        assert len(change["derivedFrom"]) == 2
        assert {each["reference"] for each in change["derivedFrom"]} <= pains


def test_drills_and_trials_are_procedures(filled: Filled) -> None:
    practice, visit = filled
    done = resources(practice.hand_over(visit), "Procedure")
    assert [p["code"]["text"] for p in done] == [
        *("gap trial", "gap trial", "banded heel glide", "wall slide"),
    ]
    assert {p["status"] for p in done} == {"completed"}
    assert "3 sets of 8" in done[2]["note"][0]["text"]


def test_codes_can_be_switched_off(filled: Filled) -> None:
    practice, visit = filled
    whole = bundle(practice.hand_over(visit, Wish(codes=False)))
    assert set(systems(whole)) == {"urn:x-voicelog:code"}


# --- the table of codes


def test_no_code_from_memory_is_ever_handed_out() -> None:
    recalled = Code("pain", "", "", "", "", LOINC, "1-8", "", "memory", "")
    assert Codes((recalled,)).of("pain") is None
    assert Codes((recalled, *load_codes().rows)).of("pain") == load_codes().of("pain")


def test_every_code_has_the_check_digit_of_its_system() -> None:
    """SNOMED CT: Verhoeff's dihedral check (Release File Specifications, SCTID). LOINC: mod 10
    (LOINC Users' Guide, appendix on check digits). Both by python-stdnum."""
    rows = load_codes().rows
    assert {row.system for row in rows} > {SNOMED, LOINC}
    for row in rows:
        if row.system == SNOMED:
            assert verhoeff.is_valid(row.code), row
        elif row.system == LOINC:
            assert luhn.is_valid(row.code.replace("-", "")), row


def test_no_two_things_share_a_code() -> None:
    codes = [(row.system, row.code) for row in load_codes().rows]
    assert len(set(codes)) == len(codes)


def test_a_reading_names_what_nobody_said_of_it(filled: Filled) -> None:
    practice, visit = filled
    everything = practice.hand_over(visit, Wish())
    first, *others = everything.records
    content = first.content.model_copy(update={"by_default": ("manner", "instrument")})
    assumed = first.model_copy(update={"content": content})
    found = resources(replace(everything, records=(assumed, *others)), "Observation")
    own = [o for o in found if o["identifier"][0]["value"] == first.entry_id and "method" in o]
    told = "By default of the practice, not said: weight bearing, inclinometer."
    assert own
    assert all({"text": told} in o["note"] for o in own)


@pytest.mark.skipif(not PAGE.is_file(), reason="the collected reference is not beside this one")
def test_every_clinical_code_stands_in_the_collected_reference_as_seen() -> None:
    lines = PAGE.read_text(encoding="utf-8").splitlines()
    for row in load_codes().rows:
        if row.system not in (SNOMED, LOINC):
            continue
        told = [line for line in lines if re.search(rf"\b{row.code}\b", line) and "seen" in line]
        assert told, row
        name = {"neck": "cervical", "upper back": "thoracic", "lower back": "lumbar"}
        joint = name.get(row.joint, row.joint)
        assert any(joint in line.lower() for line in told), row
        if row.motion:
            assert any(row.motion in line.lower() for line in told), row


def test_every_code_names_its_source() -> None:
    text = (files("voicelog") / "reference" / "coding_sources.csv").read_text(encoding="utf-8")
    keys = {line.split(",", 1)[0] for line in text.splitlines()[1:]}
    assert {row.source_key for row in load_codes().rows} == keys
