"""What keeps a result from saying more, as values; `voicelog.telling.doubts` puts them in words."""

from enum import StrEnum
from typing import NamedTuple


class Doubt(StrEnum):
    """Every reason for care that the analysis knows."""

    # about the records handed in
    OTHER_CLIENT = "other client"
    OTHER_VISIT = "other visit"
    NOT_CONFIRMED = "not confirmed"
    CORRECTION_WAITS = "correction waits"
    NO_MOVEMENT = "no movement"
    NO_PHASE = "no phase"
    CLOCK = "clock"
    IMPOSSIBLE_PAIN = "impossible pain"
    IMPOSSIBLE_RANGE = "impossible range"
    EMPTY_VISIT = "empty visit"
    # about the baseline
    NO_BASELINE = "no baseline"
    BASELINE_AFTER_TRIAL = "baseline after trial"
    BASELINE_AFTER_RETEST = "baseline after retest"
    MORE_BASELINES = "more baselines"
    DIFFERENT_MANNER = "different manner"
    DIFFERENT_POSITION = "different position"
    UNSAID_MANNER = "unsaid manner"
    UNSAID_POSITION = "unsaid position"
    BASELINE_STOPPED = "baseline stopped"
    BY_DEFAULT = "by default"
    # about pain
    BASELINE_WITHOUT_PAIN = "baseline without pain"
    TRIAL_WITHOUT_PAIN = "trial without pain"
    PAIN_FREE_REP = "pain free rep"
    NO_PERCENT = "no percent"
    SMALL_START = "small start"
    ABOVE_CEILING = "above ceiling"
    # about range
    BASELINE_WITHOUT_RANGE = "baseline without range"
    TRIAL_WITHOUT_RANGE = "trial without range"
    DIFFERENT_INSTRUMENT = "different instrument"
    UNSAID_INSTRUMENT = "unsaid instrument"
    NO_INSTRUMENT = "no instrument"
    DIFFERENT_ONSET = "different onset"
    ONE_ANGLE = "one angle"
    NO_PUBLISHED_ERROR = "no published error"
    ERROR_BETWEEN_TESTERS = "error between testers"
    ERROR_BROAD = "error broad"
    ERROR_NOTE = "error note"
    ERROR_SPANS_METHODS = "error spans methods"
    ERROR_FOR_END = "error for end of range"
    # about the trial
    UNABLE = "unable"
    DISAGREEING_TRIALS = "disagreeing trials"


class Caveat(NamedTuple):
    """One reason for care, the entries it is about, and what was said there, as records keep it."""

    doubt: Doubt
    about: tuple[str, ...] = ()
    said: tuple[str, ...] = ()
