"""The angle of a trial beside the angle of its baseline."""

from voicelog.analysis.caveats import Caveat, Doubt
from voicelog.analysis.movement import Reading, compatible
from voicelog.analysis.range_error import Measured, RangeChange, RangeErrors, range_label

_Result = tuple[RangeChange | None, tuple[Caveat, ...]]
_NO_ERROR = (Caveat(Doubt.NO_PUBLISHED_ERROR),)
_FOR_END = Caveat(Doubt.ERROR_FOR_END)


def compare_range(
    baseline: Reading, trial: Reading, errors: RangeErrors, *, same_visit: bool = True
) -> _Result:
    """The change of the angle, or None when the two do not compare; and what has to be said.

    Who made the version that counts is taken for the tester.
    """
    before, after = baseline.trial.range_deg, trial.trial.range_deg
    if before is None or after is None:
        return None, _absent(before, after, baseline, trial)
    one, two = baseline.manner, trial.manner
    if one.onset != two.onset:
        return None, (Caveat(Doubt.DIFFERENT_ONSET, (baseline.id, trial.id)),)
    instrument = two.instrument or one.instrument
    if not compatible(one.instrument, two.instrument):
        said = (str(one.instrument), str(two.instrument))
        return None, (Caveat(Doubt.DIFFERENT_INSTRUMENT, (baseline.id, trial.id), said),)
    error = errors.find(
        Measured(
            trial.movement.joint,
            trial.movement.motion,
            two.manner or one.manner,
            two.position or one.position,
            instrument,
            baseline.entry.by == trial.entry.by,
            same_visit,
        )
    )
    caveats = _NO_ERROR if error is None else error.caveats
    if two.onset and error is not None:
        caveats = (*caveats, _FOR_END)
    if instrument is None:
        caveats = (Caveat(Doubt.NO_INSTRUMENT, (baseline.id, trial.id)), *caveats)
    elif one.instrument != two.instrument:
        about = (baseline.id, trial.id)
        caveats = (Caveat(Doubt.UNSAID_INSTRUMENT, about, (instrument,)), *caveats)
    label = range_label(after - before, error)
    return RangeChange(before, after, label, error, two.onset), caveats


def _absent(
    before: int | None, after: int | None, baseline: Reading, trial: Reading
) -> tuple[Caveat, ...]:
    if before is not None:
        return (Caveat(Doubt.TRIAL_WITHOUT_RANGE, (trial.id,)),)
    if after is not None:
        return (Caveat(Doubt.BASELINE_WITHOUT_RANGE, (baseline.id,)),)
    return ()
