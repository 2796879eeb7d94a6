"""Pain of a trial beside the pain of its baseline."""

from voicelog.analysis.caveats import Caveat, Doubt
from voicelog.analysis.movement import Reading
from voicelog.analysis.pain import PainChange, PainChanges, PainRule


def compare_pain(
    baseline: Reading, trial: Reading, changes: PainChanges
) -> tuple[PainChange | None, tuple[Caveat, ...]]:
    """The change of pain, or None when one of the two has no number; and what has to be said."""
    before, after = baseline.pain, trial.pain
    if before is None and after is None:
        return None, ()
    if before is None:
        return None, (Caveat(Doubt.BASELINE_WITHOUT_PAIN, (baseline.id,)),)
    if after is None:
        return None, (Caveat(Doubt.TRIAL_WITHOUT_PAIN, (trial.id,)),)
    rule = changes.rule
    caveats: tuple[Caveat, ...] = ()
    if baseline.trial.pain is None:
        caveats += (Caveat(Doubt.PAIN_FREE_REP, (baseline.id,)),)
    if trial.trial.pain is None:
        caveats += (Caveat(Doubt.PAIN_FREE_REP, (trial.id,)),)
    if before == 0:
        caveats += (Caveat(Doubt.NO_PERCENT, (baseline.id,)),)
    elif before <= rule.small_start.value:
        caveats += (Caveat(Doubt.SMALL_START, (baseline.id,), (str(before),)),)
    return changes.between(before, after), caveats + above_ceiling(trial, rule)


def above_ceiling(reading: Reading, rule: PainRule) -> tuple[Caveat, ...]:
    """That the pain is more than one should go on with unreviewed, where it is."""
    if reading.pain is None or reading.pain <= rule.ceiling.value:
        return ()
    return (Caveat(Doubt.ABOVE_CEILING, (reading.id,), (f"{rule.ceiling.value:g}",)),)
