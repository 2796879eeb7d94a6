"""Published ranges of motion for a movement, side beside side, and what is plausible at all.

Rows of different studies are listed beside each other and never averaged.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from math import ceil
from typing import Literal

from voicelog.analysis.tables import RangeRow, Tables, covers

Sex = Literal["F", "M"]
LARGEST_DEG = 180
"""The largest angle a record can hold."""
_ANY_AGE_YEARS = 200


@dataclass(frozen=True, slots=True)
class Person:
    """What of a person decides which rows apply; None where it is not on file."""

    sex: Sex | None = None
    age_years: int | None = None


def reference_ranges(
    rows: Iterable[RangeRow],
    joint: str,
    motion: str,
    person: Person,
    *,
    manner: str | None = None,
    position: str | None = None,
) -> tuple[RangeRow, ...]:
    """The published rows for a movement and a person, the closest first.

    Closest: for this very sex, then with an age span, then seen before memory, then the narrower
    age span. Rows without ages fit everyone; without a person's sex or age all rows fit.
    """
    fitting = [
        row
        for row in rows
        if covers(row.fit, joint, motion, manner, position) and _fits(row, person)
    ]
    return tuple(sorted(fitting, key=_closeness))


def highest_plausible_deg(
    tables: Tables, joint: str, motion: str, manner: str | None = None
) -> int | None:
    """The largest plausible angle in degrees, above which the dialogue asks back, no more: the
    largest of mean plus 3 SD, or mean plus 30 where no SD is known, over all rows of the movement
    in any position. None when nothing was published.
    """
    spreads, extra = tables.rules["plausible_sd"].value, tables.rules["plausible_extra"].value
    highs = [
        row.mean_deg + (extra if row.sd_deg is None else spreads * row.sd_deg)
        for row in tables.ranges
        if covers(row.fit, joint, motion, manner, row.fit.position)
    ]
    return min(LARGEST_DEG, ceil(max(highs))) if highs else None


def _fits(row: RangeRow, person: Person) -> bool:
    if person.sex is not None and row.sex not in (person.sex, "both"):
        return False
    if person.age_years is None or row.age_low is None or row.age_high is None:
        return True
    return row.age_low <= person.age_years <= row.age_high


def _closeness(row: RangeRow) -> tuple[bool, bool, bool, int, str]:
    ages = (row.age_low, row.age_high)
    span = _ANY_AGE_YEARS if None in ages else (row.age_high or 0) - (row.age_low or 0)
    return (row.sex == "both", row.age_low is None, row.status != "seen", span, row.source_key)
