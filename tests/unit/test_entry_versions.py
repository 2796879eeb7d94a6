"""The rules by which versions follow each other. The rules are this project's own promise, so
there is no outside source; each forbidden step is named and tried."""

from datetime import UTC, datetime, timedelta
from itertools import pairwise

import pytest
from pydantic import ValidationError

from voicelog.errors import StaleVersion, StoreError
from voicelog.records.content import Trial
from voicelog.records.entry import Affirmation, Entry, Evidence, check_follows, standing, waiting

NINE = datetime(2026, 3, 2, 9, 0, tzinfo=UTC)
LATER = NINE + timedelta(seconds=5)
YES = Affirmation(read_back="left hip flexion, pain four", by="voice")
FOUR = Trial(side="left", joint="hip", motion="flexion", phase="baseline", pain=4)
FIVE = FOUR.model_copy(update={"pain": 5})


def spoken() -> Entry:
    return Entry(
        entry_id="e1",
        visit_id="2026-03-02-1",
        client="C-014",
        status="unconfirmed",
        content=FOUR,
        spoken_at=NINE,
        at=NINE,
        by="AB",
    )


HEARD = Evidence(
    text="correction pain five", confidence=0.9, engine="e", model="m", grammar_version="1"
)


def changed(entry: Entry, content: Trial = FIVE) -> Entry:
    return entry.propose(content, HEARD, LATER, entry.version)


def test_a_first_version_is_an_unconfirmed_version_one() -> None:
    check_follows(None, spoken())
    with pytest.raises(StoreError):
        check_follows(None, spoken().confirm(YES, LATER))
    with pytest.raises(StoreError):
        check_follows(None, spoken().model_copy(update={"version": 2}))


def test_every_step_a_visit_needs_is_allowed() -> None:
    first = spoken()
    corrected = changed(first)
    confirmed = corrected.confirm(YES, LATER)
    amended = changed(confirmed, FOUR)
    chain = (first, corrected, confirmed, amended, amended.drop(LATER, "disregard"))
    for before, after in pairwise(chain):
        check_follows(before, after)
    check_follows(chain[-1], changed(chain[-1]))
    check_follows(confirmed, confirmed.withdraw(LATER, "wrong client"))


def test_only_the_very_values_read_back_can_be_confirmed() -> None:
    first = spoken()
    sly = first.confirm(YES, LATER).model_copy(update={"content": FIVE})
    with pytest.raises(StoreError):
        check_follows(first, sly)


@pytest.mark.parametrize("status", ["confirmed", "dropped"])
def test_what_was_dropped_or_confirmed_is_not_confirmed_again(status: str) -> None:
    first = spoken()
    before = first.confirm(YES, LATER) if status == "confirmed" else first.drop(LATER, "no")
    with pytest.raises(StoreError):
        check_follows(before, before.confirm(YES, LATER))


def test_a_confirmed_version_cannot_be_dropped() -> None:
    confirmed = spoken().confirm(YES, LATER)
    with pytest.raises(StoreError):
        check_follows(confirmed, confirmed.drop(LATER, "no"))


def test_nothing_follows_a_withdrawn_version() -> None:
    gone = spoken().withdraw(LATER, "wrong client")
    with pytest.raises(StoreError):
        check_follows(gone, changed(gone))


@pytest.mark.parametrize(
    ("field", "value"),
    [("entry_id", "e2"), ("visit_id", "2026-03-02-2"), ("client", "C-015"), ("spoken_at", LATER)],
)
def test_a_version_keeps_whose_entry_it_is(field: str, value: object) -> None:
    after = changed(spoken()).model_copy(update={field: value})
    with pytest.raises(StoreError):
        check_follows(spoken(), after)


@pytest.mark.parametrize("version", [1, 3])
def test_a_version_made_from_an_older_one_is_told_so(version: int) -> None:
    after = changed(spoken()).model_copy(update={"version": version})
    with pytest.raises(StaleVersion) as caught:
        check_follows(spoken(), after)
    assert "Version 1 was kept" in str(caught.value)
    assert caught.value.do


def test_an_affirmation_stands_on_confirmed_versions_and_on_no_other() -> None:
    fields = dict(spoken())
    with pytest.raises(ValidationError):
        Entry(**{**fields, "affirmed": YES})
    with pytest.raises(ValidationError):
        Entry(**{**fields, "status": "confirmed"})


def test_evidence_grows_with_each_correction_and_stays_with_the_yes() -> None:
    corrected = changed(spoken())
    assert corrected.evidence == (HEARD,)
    assert corrected.why == HEARD.text
    assert corrected.confirm(YES, LATER).evidence == (HEARD,)


def test_a_change_to_the_record_follows_a_dropped_change() -> None:
    confirmed = spoken().confirm(YES, LATER)
    dropped = changed(confirmed, FIVE).drop(LATER, "disregard")
    again = confirmed.propose(FIVE, HEARD, LATER, dropped.version)
    check_follows(dropped, again)
    assert again.version == dropped.version + 1


def test_the_standing_version_is_the_newest_confirmed_one_until_withdrawn() -> None:
    first = spoken()
    confirmed = first.confirm(YES, LATER)
    amended = changed(confirmed)
    dropped = amended.drop(LATER, "disregard")
    assert standing(()) is None
    assert standing((first,)) is None
    assert standing((first, confirmed, amended)) == confirmed
    assert standing((first, confirmed, amended, dropped)) == confirmed
    assert standing((first, confirmed, confirmed.withdraw(LATER, "wrong client"))) is None


def test_only_the_newest_version_can_wait() -> None:
    first = spoken()
    confirmed = first.confirm(YES, LATER)
    amended = changed(confirmed)
    assert waiting(()) is None
    assert waiting((first,)) == first
    assert waiting((first, confirmed)) is None
    assert waiting((first, confirmed, amended)) == amended
    assert waiting((first, confirmed, amended, amended.drop(LATER, "no"))) is None


@pytest.mark.parametrize(
    ("kept", "onset_deg", "range_deg"),
    [
        ('"range_deg": 50, "onset": true', 50, None),
        ('"range_deg": 50, "onset": false', None, 50),
        ('"onset": false', None, None),
        ('"range_deg": 80, "onset_deg": 50', 50, 80),
    ],
)
def test_a_trial_that_was_kept_with_one_angle_is_read_as_it_was_meant(
    kept: str, onset_deg: int | None, range_deg: int | None
) -> None:
    text = f'{{"kind": "record", "joint": "hip", "quality": ["dull"], {kept}}}'
    trial = Trial.model_validate_json(text)
    assert (trial.onset_deg, trial.range_deg) == (onset_deg, range_deg)
    assert trial.quality == ("dull",)


@pytest.mark.parametrize("kept", ['"onset": 1', '"onset": "yes"', '"quality": "dull"'])
def test_a_trial_of_no_known_shape_is_still_refused(kept: str) -> None:
    with pytest.raises(ValidationError):
        Trial.model_validate_json(f'{{"kind": "record", {kept}}}')


def test_every_version_names_the_hand_that_made_it() -> None:
    first = spoken()
    made = (
        first.confirm(YES, LATER, by="CD"),
        first.drop(LATER, "misheard", by="CD"),
        first.withdraw(LATER, "said to a student", by="CD"),
        first.change(FIVE, LATER, "typed", by="CD"),
    )
    assert {(entry.by, entry.version) for entry in made} == {("CD", 2)}
    assert (first.confirm(YES, LATER).by, changed(first).by) == ("AB", "AB")
    assert made[-1].content == FIVE
    check_follows(first, made[0])
    check_follows(first, made[-1])
