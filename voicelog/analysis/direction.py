"""Which direction eased a movement in one visit: gap, compression, both, neither, or too little.

A trial eased when its pain is lower beyond usual error, or, where pain is not higher, when an
angle (the end of the range, or where pain starts) is larger beyond measurement error and none is
smaller beyond it: within that error an angle is as it was. Pain that is higher at all counts as
higher. A stop event takes any such verdict away. When a direction was tried more than once, the
latest trial with a verdict counts; disagreement is said.

Where pain at the start is less than the usual error it cannot fall beyond it. Such a trial may
still ease by its angle, but that none eased says nothing then: else everybody who has recovered
would count as eased by neither.
"""

from collections.abc import Iterable
from enum import StrEnum
from typing import NamedTuple

from voicelog.analysis.caveats import Caveat, Doubt
from voicelog.analysis.comparison import Comparison
from voicelog.analysis.movement import Movement
from voicelog.analysis.pain import PainChange, PainLabel
from voicelog.analysis.range_error import RangeLabel
from voicelog.analysis.tables import TrialKind
from voicelog.records.content import Phase


class Eased(StrEnum):
    """Which direction eased."""

    GAP = "gap"
    COMPRESSION = "compression"
    BOTH = "both"
    NEITHER = "neither"
    NOT_ENOUGH = "not enough to say"


class Verdict(StrEnum):
    """What a single trial says."""

    EASED = "eased"
    NOT_EASED = "not eased"
    STOPPED = "stopped"
    UNABLE = "unable"
    NO_ROOM = "no room"
    """Nothing eased, and pain was too low at the start to fall beyond its error."""
    NO_VERDICT = "no verdict"


class Missing(StrEnum):
    """What is missing to say more."""

    GAP_TRIAL = "gap trial"
    COMPRESSION_TRIAL = "compression trial"
    GAP_NUMBERS = "gap numbers"
    COMPRESSION_NUMBERS = "compression numbers"
    GAP_WITHOUT_STOP = "gap without stop"
    COMPRESSION_WITHOUT_STOP = "compression without stop"
    GAP_POSSIBLE = "gap possible"
    COMPRESSION_POSSIBLE = "compression possible"
    PAIN_TO_LOWER = "pain to lower"
    RETEST = "retest"


class NextStep(StrEnum):
    """What common practice would do next; only ever a suggestion to a licensed person."""

    REVIEW_STOP = "review stop"
    TRAIN_GAP = "train gap"
    TRAIN_COMPRESSION = "train compression"
    TRAIN_EITHER = "train either"
    REASSESS = "reassess"
    TRY_GAP = "try gap"
    TRY_COMPRESSION = "try compression"
    TAKE_NUMBERS = "take numbers"
    NEXT_VISIT = "next visit"


class Direction(NamedTuple):
    """What one visit says about a movement, with the trials that say it.

    `trials` and `retests` are all the comparisons of the movement, the evidence. A named tuple,
    as one is made for every movement of a caseload.
    """

    movement: Movement
    eased: Eased
    gap: Comparison | None
    compression: Comparison | None
    trials: tuple[Comparison, ...]
    retests: tuple[Comparison, ...]
    missing: tuple[Missing, ...]
    next_step: NextStep
    caveats: tuple[Caveat, ...]


_NEEDS: dict[tuple[TrialKind, Verdict | None], Missing] = {
    ("gap", None): Missing.GAP_TRIAL,
    ("gap", Verdict.NO_VERDICT): Missing.GAP_NUMBERS,
    ("gap", Verdict.STOPPED): Missing.GAP_WITHOUT_STOP,
    ("gap", Verdict.UNABLE): Missing.GAP_POSSIBLE,
    ("gap", Verdict.NO_ROOM): Missing.PAIN_TO_LOWER,
    ("compression", None): Missing.COMPRESSION_TRIAL,
    ("compression", Verdict.NO_VERDICT): Missing.COMPRESSION_NUMBERS,
    ("compression", Verdict.STOPPED): Missing.COMPRESSION_WITHOUT_STOP,
    ("compression", Verdict.UNABLE): Missing.COMPRESSION_POSSIBLE,
    ("compression", Verdict.NO_ROOM): Missing.PAIN_TO_LOWER,
}
_SAYS = (Verdict.EASED, Verdict.NOT_EASED)
_STEPS = {
    Eased.GAP: NextStep.TRAIN_GAP,
    Eased.COMPRESSION: NextStep.TRAIN_COMPRESSION,
    Eased.BOTH: NextStep.TRAIN_EITHER,
    Eased.NEITHER: NextStep.REASSESS,
}


def verdict(comparison: Comparison) -> Verdict:
    """What one comparison says about its trial."""
    if comparison.stops:
        return Verdict.STOPPED
    pain = None if comparison.pain is None else comparison.pain.label
    end = None if comparison.range is None else comparison.range.label
    onset = None if comparison.onset is None else comparison.onset.label
    if pain is None and end is None and onset is None:
        unable = any(caveat.doubt is Doubt.UNABLE for caveat in comparison.caveats)
        return Verdict.UNABLE if unable else Verdict.NO_VERDICT
    if pain is PainLabel.LOWER_BEYOND:
        return Verdict.EASED
    higher = pain in (PainLabel.HIGHER_WITHIN, PainLabel.HIGHER_BEYOND)
    angles = (end, onset)
    if higher or RangeLabel.LESS_BEYOND in angles:
        return Verdict.NOT_EASED
    if RangeLabel.MORE_BEYOND in angles:
        return Verdict.EASED
    return Verdict.NO_ROOM if _too_low(comparison.pain) else Verdict.NOT_EASED


def _too_low(pain: PainChange | None) -> bool:
    return pain is not None and pain.before < pain.rule.floor.value


def directions(comparisons: Iterable[Comparison]) -> tuple[Direction, ...]:
    """The direction that eased, for every movement among the comparisons of one visit."""
    by_movement: dict[Movement, list[Comparison]] = {}
    for comparison in comparisons:
        by_movement.setdefault(comparison.movement, []).append(comparison)
    return tuple(_direction(movement, found) for movement, found in by_movement.items())


def _direction(movement: Movement, found: list[Comparison]) -> Direction:
    trials: list[Comparison] = []
    retests: list[Comparison] = []
    tried: dict[Phase, list[Comparison]] = {"gap": [], "compression": [], "retest": retests}
    stopped = False
    for comparison in found:
        tried[comparison.phase].append(comparison)
        if comparison.phase != "retest":
            trials.append(comparison)
        stopped = stopped or bool(comparison.stops)
    gap, gap_verdict, gap_caveats = _that_counts(tried["gap"])
    press, press_verdict, press_caveats = _that_counts(tried["compression"])
    verdicts: dict[TrialKind, Verdict | None] = {"gap": gap_verdict, "compression": press_verdict}
    eased = _eased(gap_verdict, press_verdict)
    needs = (_NEEDS[need] for need in verdicts.items() if need[1] not in _SAYS)
    missing = tuple(dict.fromkeys(needs))
    if eased not in (Eased.NOT_ENOUGH, Eased.NEITHER) and not retests:
        missing += (Missing.RETEST,)
    return Direction(
        movement=movement,
        eased=eased,
        gap=gap,
        compression=press,
        trials=tuple(trials),
        retests=tuple(retests),
        missing=missing,
        next_step=_next_step(eased, verdicts, stopped),
        caveats=gap_caveats + press_caveats,
    )


def _that_counts(
    trials: list[Comparison],
) -> tuple[Comparison | None, Verdict | None, tuple[Caveat, ...]]:
    """The latest trial with a verdict, or the latest of all; trials come in order of time."""
    if not trials:
        return None, None, ()
    if len(trials) == 1:
        return trials[0], verdict(trials[0]), ()
    judged = [(trial, verdict(trial)) for trial in trials]
    spoken = [each for each in judged if each[1] is not Verdict.NO_VERDICT]
    caveats: tuple[Caveat, ...] = ()
    if len(spoken) > 1 and len({each[1] for each in spoken}) > 1:
        about = tuple(trial.trial for trial, _ in spoken)
        caveats = (Caveat(Doubt.DISAGREEING_TRIALS, about, (trials[0].phase,)),)
    return (*(spoken or judged)[-1], caveats)


def _eased(gap: Verdict | None, compression: Verdict | None) -> Eased:
    pair = (gap, compression)
    if pair == (Verdict.EASED, Verdict.EASED):
        return Eased.BOTH
    if pair == (Verdict.NOT_EASED, Verdict.NOT_EASED):
        return Eased.NEITHER
    against = (Verdict.NOT_EASED, Verdict.STOPPED, Verdict.UNABLE, Verdict.NO_ROOM)
    if gap is Verdict.EASED and compression in against:
        return Eased.GAP
    if compression is Verdict.EASED and gap in against:
        return Eased.COMPRESSION
    return Eased.NOT_ENOUGH


def _next_step(eased: Eased, verdicts: dict[TrialKind, Verdict | None], stopped: bool) -> NextStep:
    if stopped:
        return NextStep.REVIEW_STOP
    if eased is not Eased.NOT_ENOUGH:
        return _STEPS[eased]
    if Verdict.UNABLE in verdicts.values():
        return NextStep.REASSESS
    if Verdict.NO_ROOM in verdicts.values():
        return NextStep.NEXT_VISIT
    if Verdict.NO_VERDICT in verdicts.values():
        return NextStep.TAKE_NUMBERS
    return NextStep.TRY_GAP if verdicts["gap"] is None else NextStep.TRY_COMPRESSION
