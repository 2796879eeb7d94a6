"""Left against right: the latest baseline of each side in one visit."""

from collections.abc import Iterable
from dataclasses import dataclass

from voicelog.analysis.baseline import by_default, unlike, unsaid
from voicelog.analysis.caveats import Caveat
from voicelog.analysis.compare_range import Angles, compare_angles
from voicelog.analysis.movement import Reading, pain_comparable, reading_of
from voicelog.analysis.range_error import RangeChange, RangeErrors
from voicelog.analysis.sift import Occasion, sift_visit
from voicelog.records.entry import Entry


@dataclass(frozen=True, slots=True)
class SideDifference:
    """Left and right of one joint and motion in degrees; `left` and `right` are entry ids.

    `range` (the end of it) and `onset` (where pain starts) go from left (before) to right (after);
    None where the two do not compare.
    """

    joint: str
    motion: str
    left: str
    right: str
    range: RangeChange | None
    onset: RangeChange | None
    caveats: tuple[Caveat, ...]

    @property
    def angles(self) -> tuple[RangeChange, ...]:
        """The differences of angles that there are."""
        return tuple(change for change in (self.onset, self.range) if change is not None)


def side_differences(
    occasion: Occasion, entries: Iterable[Entry], errors: RangeErrors
) -> tuple[SideDifference, ...]:
    """Every joint and motion of the visit that has a baseline angle on both sides."""
    latest: dict[tuple[str, str], dict[str, Reading]] = {}
    for entry in sift_visit(occasion, entries).entries:
        reading = reading_of(entry)
        if reading is None or reading.trial.phase != "baseline":
            continue
        side, joint, motion = reading.movement
        if side in ("left", "right") and reading.trial.angles:
            latest.setdefault((joint, motion), {})[side] = reading
    return tuple(
        SideDifference(joint, motion, sides["left"].id, sides["right"].id, *_angles(sides, errors))
        for (joint, motion), sides in latest.items()
        if len(sides) == 2
    )


def _angles(sides: dict[str, Reading], errors: RangeErrors) -> Angles:
    left, right = sides["left"], sides["right"]
    if not pain_comparable(left.manner, right.manner):
        return Angles(None, None, (unlike(left, right),))
    found = compare_angles(left, right, errors)
    about = unsaid(left, right) + by_default(left, right)
    return found._replace(caveats=about + found.caveats)
