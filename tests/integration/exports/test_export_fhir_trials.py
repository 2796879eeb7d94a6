"""What the FHIR bundle says of trials at their edges: not done, of the spine, without a number.

The standard: FHIR R4, procedure.html (status) and observation.html (bodySite, derivedFrom).
"""

import json
from collections.abc import Callable
from typing import Any

from fhir.resources.R4B.bundle import Bundle

from tests.integration.exports.conftest import ANKLE, NINE, Practice
from voicelog.exports import load
from voicelog.exports.base import CAUTION
from voicelog.records.content import Trial

NECK = Trial(side="left", joint="neck", motion="rotation", phase="baseline", pain=4, range_deg=50)
"""Left is the way that the neck turns, and no part of where it is."""


def handed(practice: Practice, *trials: Trial) -> list[dict[str, Any]]:
    """The resources of a visit with these trials."""
    visit = practice.store.open_visit("C-014", NINE)
    for each in trials:
        practice.say(visit, each)
    text = load("fhir").render(practice.hand_over(visit))
    Bundle.model_validate_json(text)
    return [entry["resource"] for entry in json.loads(text)["entry"]]


def test_a_trial_that_could_not_be_done_is_not_completed(make: Callable[[str], Practice]) -> None:
    unable = {"phase": "gap", "outcome": "unable", "quality": ()}
    found = handed(
        make("one"),
        ANKLE,
        ANKLE.model_copy(update={"phase": "gap"}),
        ANKLE.model_copy(update={**unable, "pain": None, "onset_deg": None}),
        ANKLE.model_copy(update={**unable, "pain": 8}),
    )
    done = [r["status"] for r in found if r["resourceType"] == "Procedure"]
    assert done == ["completed", "not-done", "stopped"]


def test_the_way_a_spine_goes_is_no_side_of_its_place(make: Callable[[str], Practice]) -> None:
    found = handed(make("one"), NECK, NECK.model_copy(update={"phase": "gap"}))
    sites = [r["bodySite"] for r in found if "bodySite" in r]
    told = {site["text"] for each in sites for site in (each if isinstance(each, list) else [each])}
    assert told == {"neck"}
    assert "range of left neck rotation" in [r.get("code", {}).get("text") for r in found]


def test_a_change_to_a_pain_free_repetition_points_at_it(make: Callable[[str], Practice]) -> None:
    free = {"phase": "retest", "outcome": "pain free rep", "pain": None, "quality": ()}
    found = handed(make("one"), ANKLE, ANKLE.model_copy(update=free))
    (change,) = [r for r in found if r.get("code", {}).get("text") == "pain change"]
    assert change["valueQuantity"]["value"] == -6
    targets = {f"urn:uuid:{r['id']}": r["code"]["text"] for r in found if "code" in r}
    pointed = [targets[each["reference"]] for each in change["derivedFrom"]]
    assert pointed == ["pain, 0 to 10", "outcome"]


def test_what_interprets_carries_the_caution(make: Callable[[str], Practice]) -> None:
    found = handed(make("one"), ANKLE, ANKLE.model_copy(update={"phase": "gap", "pain": 3}))
    said = [r for r in found if "interpretation" in r]
    assert said
    assert all({"text": CAUTION} in each["note"] for each in said)
