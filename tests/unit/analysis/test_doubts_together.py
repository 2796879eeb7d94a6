"""The same reason for care about several records is one sentence, not one for each."""

import pytest

from tests.unit.analysis.doubts import ENGLISH
from voicelog.analysis.caveats import Caveat, Doubt
from voicelog.telling.doubts import caveat_words, together


def _above(*about: str) -> Caveat:
    return Caveat(Doubt.ABOVE_CEILING, about, ("5",))


@pytest.mark.parametrize(
    ("records", "named"),
    [("1", "#1"), ("131", "#1 and #3"), ("138", "#1, #3 and #8")],
)
def test_pain_above_the_ceiling_is_said_once_for_all_records(records: str, named: str) -> None:
    (caveat,) = together(_above(f"#{number}") for number in records)
    told = caveat_words(caveat, ENGLISH)
    assert told == f"Pain above 5 in record {named}: review before going on."


def test_what_does_not_read_well_of_several_stays_apart_in_its_order() -> None:
    free = [Caveat(Doubt.PAIN_FREE_REP, (one,)) for one in ("#2", "#4", "#2")]
    assert together([_above("#1"), *free, _above("#3")]) == (_above("#1", "#3"), *free[:2])
