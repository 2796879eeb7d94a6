"""Stop criteria in the records: which codes a trial raises, by its words and by its numbers."""

from dataclasses import dataclass

from voicelog.analysis.pain import PainChange, PainRule
from voicelog.analysis.range_error import RangeChange, RangeLabel
from voicelog.analysis.tables import StopRule
from voicelog.records.content import Trial

PAIN_RISE = "STOP_PAIN_RISE"
IN_RANGE = "STOP_IN_RANGE"


@dataclass(frozen=True, slots=True)
class Stop:
    """A reason to stop that a record raised, and what in the record raised it."""

    code: str
    raised_by: str


def stops_heard(trial: Trial, rules: tuple[StopRule, ...]) -> tuple[Stop, ...]:
    """The stops that the dictated qualities and end feel raise, in the order of the rules."""
    if not trial.quality and trial.end_feel is None:
        return ()
    return tuple(
        Stop(rule.code, word) for rule in rules if (word := _raises(trial, rule)) is not None
    )


def stops_by_numbers(
    pain: PainChange | None, angle: RangeChange | None, rule: PainRule
) -> tuple[Stop, ...]:
    """The stops that the numbers raise: pain above its baseline by the floor of error or more,
    and pain that starts earlier in the range, by more than the error of measuring."""
    stops: tuple[Stop, ...] = ()
    if pain is not None and pain.change >= rule.stop_rise.value:
        stops += (Stop(PAIN_RISE, f"pain {pain.before} to {pain.after}"),)
    if angle is not None and angle.onset and angle.label is RangeLabel.LESS_BEYOND:
        stops += (Stop(IN_RANGE, f"pain from {angle.after} degrees, before {angle.before}"),)
    return stops


def _raises(trial: Trial, rule: StopRule) -> str | None:
    if trial.end_feel in rule.end_feels:
        return f"end feel {trial.end_feel}"
    return next((word for word in trial.quality if word in rule.qualities), None)
