"""The angles of a trial beside its baseline: the end of the range, and where pain starts."""

from typing import NamedTuple

from voicelog.analysis.caveats import Caveat, Doubt
from voicelog.analysis.movement import Reading, compatible
from voicelog.analysis.range_error import (
    Measured,
    RangeChange,
    RangeError,
    RangeErrors,
    range_label,
)

_FOR_END = Caveat(Doubt.ERROR_FOR_END)
_END, _ONSET = "range", "onset"


class Angles(NamedTuple):
    """The change of each angle, None where the two do not compare; and what has to be said."""

    range: RangeChange | None
    onset: RangeChange | None
    caveats: tuple[Caveat, ...]


def compare_angles(
    baseline: Reading, trial: Reading, errors: RangeErrors, *, same_visit: bool = True
) -> Angles:
    """The changes of the angles. Who made the version that counts is taken for the tester."""
    one, two = baseline.manner, trial.manner
    end, onset = one.end and two.end, one.onset and two.onset
    if not (end or onset):
        return Angles(None, None, _absent(baseline, trial))
    if not compatible(one.instrument, two.instrument):
        said = (str(one.instrument), str(two.instrument))
        about = (baseline.id, trial.id)
        return Angles(None, None, (Caveat(Doubt.DIFFERENT_INSTRUMENT, about, said),))
    instrument = two.instrument or one.instrument
    measured = Measured(
        trial.movement.joint,
        trial.movement.motion,
        two.manner or one.manner,
        two.position or one.position,
        instrument,
        baseline.entry.by == trial.entry.by,
        same_visit,
    )
    error = errors.find(measured)
    caveats = errors.absent(measured) if error is None else error.caveats
    if onset and error is not None:
        caveats = (*caveats, _FOR_END)
    if instrument is None or one.instrument != two.instrument:
        caveats = (_about_instrument(baseline, trial, instrument), *caveats)
    if one.end != two.end or one.onset != two.onset:
        lone = _END if one.end != two.end else _ONSET
        caveats = (*caveats, Caveat(Doubt.ONE_ANGLE, (baseline.id, trial.id), (lone,)))
    before, after = baseline.trial, trial.trial
    return Angles(
        _change(before.range_deg, after.range_deg, error, False) if end else None,
        _change(before.onset_deg, after.onset_deg, error, True) if onset else None,
        caveats,
    )


def _change(
    before: int | None, after: int | None, error: RangeError | None, onset: bool
) -> RangeChange | None:
    if before is None or after is None:
        return None
    return RangeChange(before, after, range_label(after - before, error), error, onset)


def _about_instrument(baseline: Reading, trial: Reading, instrument: str | None) -> Caveat:
    about = (baseline.id, trial.id)
    if instrument is None:
        return Caveat(Doubt.NO_INSTRUMENT, about)
    return Caveat(Doubt.UNSAID_INSTRUMENT, about, (instrument,))


def _absent(baseline: Reading, trial: Reading) -> tuple[Caveat, ...]:
    before = baseline.manner.end or baseline.manner.onset
    after = trial.manner.end or trial.manner.onset
    if before and after:
        return (Caveat(Doubt.DIFFERENT_ONSET, (baseline.id, trial.id)),)
    if before:
        return (Caveat(Doubt.TRIAL_WITHOUT_RANGE, (trial.id,)),)
    return (Caveat(Doubt.BASELINE_WITHOUT_RANGE, (baseline.id,)),) if after else ()
