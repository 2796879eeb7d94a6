"""Stop criteria in the records: which codes a trial raises, by its words and by its numbers."""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal

from voicelog.analysis.pain import PainChange, PainRule
from voicelog.analysis.range_error import RangeChange, RangeLabel
from voicelog.analysis.tables import StopRule
from voicelog.records.content import Trial

PAIN_RISE = "STOP_PAIN_RISE"
IN_RANGE = "STOP_IN_RANGE"


@dataclass(frozen=True, slots=True)
class Stop:
    """A reason to stop that a record raised, and what in the record raised it: a word of its
    quality or end feel, or two numbers, of the trial and of its baseline."""

    code: str
    cause: Literal["quality", "end feel", "pain", "onset"]
    word: str = ""
    before: int = 0
    after: int = 0


class StopWords:
    """The dictated words that raise a stop, by the rules of the tables."""

    def __init__(self, rules: Iterable[StopRule]) -> None:
        rules = tuple(rules)
        self._qualities = {word: rule.code for rule in rules for word in rule.qualities}
        self._end_feels = {word: rule.code for rule in rules for word in rule.end_feels}

    def heard(self, trial: Trial) -> tuple[Stop, ...]:
        """The stops that the qualities and the end feel of a trial raise, each code once."""
        if not trial.quality and trial.end_feel is None:
            return ()
        stops = [
            Stop(self._qualities[word], "quality", word)
            for word in trial.quality
            if word in self._qualities
        ]
        if trial.end_feel in self._end_feels:
            stops.append(Stop(self._end_feels[trial.end_feel], "end feel", trial.end_feel))
        if len(stops) > 1:
            stops = list({stop.code: stop for stop in reversed(stops)}.values())[::-1]
        return tuple(stops)


def stops_by_numbers(
    pain: PainChange | None, onset: RangeChange | None, rule: PainRule
) -> tuple[Stop, ...]:
    """The stops that the numbers raise: pain above its baseline by the floor of error or more,
    and pain that starts earlier in the range, by more than the error of measuring."""
    stops: tuple[Stop, ...] = ()
    if pain is not None and pain.change >= rule.stop_rise.value:
        stops += (Stop(PAIN_RISE, "pain", before=pain.before, after=pain.after),)
    if onset is not None and onset.label is RangeLabel.LESS_BEYOND:
        stops += (Stop(IN_RANGE, "onset", before=onset.before, after=onset.after),)
    return stops
