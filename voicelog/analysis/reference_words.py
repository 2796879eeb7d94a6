"""Published ranges, sides, scales and doses in words."""

from collections.abc import Iterable

from voicelog.analysis.doubt_words import caveat_words
from voicelog.analysis.progress import DrillGiven
from voicelog.analysis.scale_change import RatingMark, ScaleChange
from voicelog.analysis.side_difference import SideDifference
from voicelog.analysis.tables import RangeRow
from voicelog.analysis.words import STATUS, range_words


def range_row_words(row: RangeRow) -> str:
    """One published range with its people, source and status."""
    sex = {"F": "women", "M": "men", "both": "both sexes"}[row.sex]
    ages = "" if row.age_low is None else f", {row.age_low} to {row.age_high} years"
    spread = "" if row.sd_deg is None else f", SD {row.sd_deg:g}"
    if row.ci95_deg is not None:
        spread = f", 95 % interval {row.ci95_deg[0]:g} to {row.ci95_deg[1]:g}"
    recalled = " from memory" if row.spread_recalled else ""
    origin = f"{row.source_key}, {STATUS[row.status]}"
    return f"Mean {row.mean_deg:g} degrees{spread}{recalled} in {sex}{ages} ({origin})."


def side_words(found: SideDifference) -> str:
    """Left beside right, with every caveat."""
    parts = [f"{found.joint.capitalize()} {found.motion}, left beside right."]
    parts += map(range_words, found.angles)
    return " ".join([*parts, *(caveat_words(caveat) for caveat in found.caveats)])


def scale_words(change: ScaleChange) -> str:
    """A change of the client's own activities; higher is better there."""
    numbers = f"{change.name.capitalize()} {change.before:.3g} to {change.after:.3g} of 10"
    if change.figure is None or change.label is None:
        return f"{numbers}. No published error is known for this."
    figure = change.figure
    origin = f"{figure.low:g}, {figure.region}, {figure.source_key}, {STATUS[figure.status]}"
    return f"{numbers}: {change.label} ({origin})."


def rating_words(score: int, marks: Iterable[RatingMark]) -> str:
    """A global rating of change beside its published figures."""
    told = "; ".join(
        f"{'reaches' if mark.reached else 'below'} {mark.figure.statistic} {mark.figure.low:g} "
        f"({mark.figure.region}, {mark.figure.source_key}, {STATUS[mark.figure.status]})"
        for mark in marks
        if mark.reached or mark.figure.high is None
    )
    return (
        f"Rating of change {score:+d}: {told or 'no published band'}. Such ratings follow the "
        "present state more than the change (SCHMITT2014, seen)."
    )


def dose_words(given: DrillGiven) -> str:
    """A drill with its dose, as far as it was said."""
    drill = given.drill
    parts = [
        f"{drill.sets} sets" if drill.sets is not None else "",
        f"{drill.reps} repetitions" if drill.reps is not None else "",
        f"hold {drill.hold_s} seconds" if drill.hold_s is not None else "",
        f"{drill.band} band" if drill.band is not None else "",
        f"effort {drill.effort} of 10" if drill.effort is not None else "",
    ]
    dose = ", ".join(part for part in parts if part) or "no dose said"
    return f"{given.at:%Y-%m-%d} {drill.name}: {dose}."
