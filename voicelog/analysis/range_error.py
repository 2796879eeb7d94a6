"""The error of measuring an angle: which published figure applies, and what it makes of a change.

The row is picked by one rule, in this order:

1. Only rows that speak about the movement (`tables.covers`), the instrument and the tester count.
   An instrument that was not said fits only rows without a certain instrument. Two different
   testers fit only rows between testers. Rows against a radiograph are never used, and neither is
   one span of standard errors for several methods (HAYES2001: by eye, goniometer, photograph,
   reach): its upper end, 64 degrees at the shoulder, belongs to the worst method, and a figure for
   the instrument itself fits better, even from memory (MUIR2010, 16 degrees). It is named instead.
2. A row whose source was seen goes before one from memory.
3. For one tester: same sitting before other day before between testers; across visits the first
   two change places.
4. The very motion before one figure for all motions; a row for this manner or position before a
   general one; the joint itself before the whole limb.
5. The very instrument before a kind of it before mixed or unspecified instruments.
6. Of what is left the largest error, so that doubt never makes a change look surer.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum
from math import sqrt
from typing import NamedTuple

from voicelog.analysis.caveats import Caveat, Doubt
from voicelog.analysis.tables import ErrorRow, covers

Z95 = 1.96
MDC95_PER_SEM = Z95 * sqrt(2)
"""MDC95 = 1.96 x sqrt(2) x SEM, the standard formula (from memory)."""

_ANY_INSTRUMENT = ("mixed", "unspecified")
_KINDS = {"goniometer": ("goniometer_long_arm", "goniometer_short_arm")}


class RangeLabel(StrEnum):
    """What a change of an angle may be called."""

    MORE_BEYOND = "more, beyond measurement error"
    MORE_WITHIN = "more, within measurement error"
    SAME = "no change"
    LESS_WITHIN = "less, within measurement error"
    LESS_BEYOND = "less, beyond measurement error"
    NOT_RATED = "not rated: stop event"


class Measured(NamedTuple):
    """The circumstances of two angles that are to be compared."""

    joint: str
    motion: str
    manner: str | None
    position: str | None
    instrument: str | None
    same_tester: bool
    same_visit: bool


@dataclass(frozen=True, slots=True)
class RangeError:
    """Smallest difference in degrees that is more than error, and the published row behind it."""

    degrees: float
    from_sem: bool
    """True when the source prints only an SEM and the MDC comes from the formula."""
    row: ErrorRow
    caveats: tuple[Caveat, ...] = ()
    """What has to be said whenever this figure is used."""


class RangeChange(NamedTuple):
    """Angles in degrees; `label` is None when no published error is known.

    A named tuple, as one is made for every trial and a frozen dataclass takes three times as long.
    """

    before: int
    after: int
    label: RangeLabel | None
    error: RangeError | None
    onset: bool

    @property
    def change(self) -> int:
        """Degrees, positive when the angle grew."""
        return self.after - self.before


class RangeErrors:
    """Looks up the error of measuring and remembers it, as the same question comes often."""

    def __init__(self, rows: Iterable[ErrorRow]) -> None:
        self._by_joint: dict[str, list[ErrorRow]] = {}
        for row in rows:
            self._by_joint.setdefault(row.fit.joint, []).append(row)
        self._found: dict[Measured, RangeError | None] = {}
        self._absent: dict[Measured, tuple[Caveat, ...]] = {}

    def find(self, measured: Measured) -> RangeError | None:
        """The figure that applies, or None when none was published."""
        try:
            return self._found[measured]
        except KeyError:
            found = next(iter(self.candidates(measured)), None)
            self._found[measured] = found
            return found

    def absent(self, measured: Measured) -> tuple[Caveat, ...]:
        """What has to be said where no figure applies."""
        if measured not in self._absent:
            passed = _passed_over(self._rows(measured))
            self._absent[measured] = (
                Caveat(Doubt.NO_PUBLISHED_ERROR, said=(measured.joint, measured.motion)),
                *passed,
            )
        return self._absent[measured]

    def candidates(self, measured: Measured) -> list[RangeError]:
        """All published figures that could apply, the one to use first."""
        rows = self._rows(measured)
        passed = _passed_over(rows)
        return sorted(
            (_error(row, measured, passed) for row in rows if not _spans_methods(row)),
            key=lambda e: (*_preference(e.row, measured), -e.degrees, e.row.source_key),
        )

    def _rows(self, measured: Measured) -> list[ErrorRow]:
        return [row for row in self._by_joint.get(measured.joint, ()) if _applies(row, measured)]


def range_label(change_deg: int, error: RangeError | None) -> RangeLabel | None:
    """The label of a change of an angle; a change equal to the error counts as beyond it."""
    if error is None:
        return None
    if change_deg == 0:
        return RangeLabel.SAME
    beyond = abs(change_deg) >= error.degrees
    if change_deg > 0:
        return RangeLabel.MORE_BEYOND if beyond else RangeLabel.MORE_WITHIN
    return RangeLabel.LESS_BEYOND if beyond else RangeLabel.LESS_WITHIN


def mdc95_from_sem(sem_deg: float) -> float:
    """Minimal detectable change with 95 % confidence from a standard error of measurement."""
    return MDC95_PER_SEM * sem_deg


def _spans_methods(row: ErrorRow) -> bool:
    """Whether it is one span of standard errors for several methods."""
    return row.method == "mixed" and row.span and row.mdc_deg is None


def _passed_over(rows: Iterable[ErrorRow]) -> tuple[Caveat, ...]:
    keys = dict.fromkeys(row.source_key for row in rows if _spans_methods(row))
    return tuple(Caveat(Doubt.ERROR_SPANS_METHODS, said=(key,)) for key in keys)


def _error(row: ErrorRow, measured: Measured, passed: tuple[Caveat, ...]) -> RangeError:
    caveats = (*_caveats(row, measured), *(passed if row.status != "seen" else ()))
    if row.mdc_deg is not None:
        return RangeError(row.mdc_deg, False, row, caveats)
    if row.sem_deg is None:
        raise ValueError(f"An error row of {row.source_key} has neither SEM nor MDC")
    return RangeError(mdc95_from_sem(row.sem_deg), True, row, caveats)


def _caveats(row: ErrorRow, measured: Measured) -> Iterable[Caveat]:
    if row.rater == "inter" and measured.same_tester:
        yield Caveat(Doubt.ERROR_BETWEEN_TESTERS, said=(row.source_key,))
    if row.span or row.fit.motion is None or not row.fit.whole:
        yield Caveat(Doubt.ERROR_BROAD, said=(row.source_key,))
    elif row.fit.note:
        yield Caveat(Doubt.ERROR_NOTE, said=(row.source_key, row.fit.note))


def _applies(row: ErrorRow, measured: Measured) -> bool:
    if not covers(row.fit, measured.joint, measured.motion, measured.manner, measured.position):
        return False
    if row.rater == "criterion" or (not measured.same_tester and row.rater != "inter"):
        return False
    return _instrument_distance(row.method, measured.instrument) is not None


def _instrument_distance(method: str, instrument: str | None) -> int | None:
    """0 for the instrument itself, 1 for a kind of it, 2 for any, None when it does not fit."""
    if method == instrument:
        return 0
    if instrument is not None and method in _KINDS.get(instrument, ()):
        return 1
    return 2 if method in _ANY_INSTRUMENT else None


def _preference(row: ErrorRow, measured: Measured) -> tuple[int, ...]:
    raters = ("intra", "intra_retest") if measured.same_visit else ("intra_retest", "intra")
    fit = row.fit
    return (
        row.status != "seen",
        (*raters, "inter").index(row.rater),
        fit.motion is None,
        -((fit.manner is not None) + (fit.position is not None)),
        not fit.whole,
        _instrument_distance(row.method, measured.instrument) or 0,
    )
