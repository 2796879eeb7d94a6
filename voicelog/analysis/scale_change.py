"""Companion scales over time: the client's own activities, and the global rating of change.

A figure is picked from the client's region first, then from "any"; a source that was seen goes
before one from memory.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum

from voicelog.analysis.tables import ScaleFigure
from voicelog.records.scales import ChangeRating, FunctionScore


class ScaleLabel(StrEnum):
    """What a change of the functional scale may be called; higher is better there."""

    HIGHER_BEYOND = "higher, beyond error"
    HIGHER_WITHIN = "higher, within error"
    SAME = "no change"
    LOWER_WITHIN = "lower, within error"
    LOWER_BEYOND = "lower, beyond error"


@dataclass(frozen=True, slots=True)
class ScaleChange:
    """A score before and after, 0-10; `label` is None when no published error is known.

    `name` is the activity, or "average".
    """

    name: str
    before: float
    after: float
    label: ScaleLabel | None
    figure: ScaleFigure | None


@dataclass(frozen=True, slots=True)
class RatingMark:
    """Whether a global rating reaches one published figure, or falls in a published band."""

    figure: ScaleFigure
    reached: bool


def function_changes(
    before: FunctionScore, after: FunctionScore, figures: Iterable[ScaleFigure]
) -> tuple[ScaleChange, ...]:
    """The average first, then each activity that was scored both times under the same name, in
    capitals or not.

    The average only compares when the activities are the same ones; otherwise it is left out.
    """
    figures = tuple(figures)
    old = {activity.name.casefold(): activity.score for activity in before.activities}
    error = _error(figures, "one activity", after.region)
    changes = [
        _change(activity.name, old[activity.name.casefold()], activity.score, error)
        for activity in after.activities
        if activity.name.casefold() in old
    ]
    if len(changes) == len(after.activities) == len(old):
        error = _error(figures, "average", after.region)
        changes.insert(0, _change("average", before.average, after.average, error))
    return tuple(changes)


def rating_marks(rating: ChangeRating, figures: Iterable[ScaleFigure]) -> tuple[RatingMark, ...]:
    """The published figures for this form and region beside the rating.

    A band is reached when the size of the rating, for better or worse, lies in it; a threshold
    when the size reaches it.
    """
    size = abs(rating.score)
    return tuple(
        RatingMark(figure, figure.low <= size and (figure.high is None or size <= figure.high))
        for figure in figures
        if figure.scale == "grc"
        and figure.form == rating.form
        and figure.region in (rating.region, "any")
    )


def _error(figures: tuple[ScaleFigure, ...], form: str, region: str) -> ScaleFigure | None:
    fitting = [
        figure
        for figure in figures
        if figure.scale == "psfs"
        and figure.form == form
        and figure.statistic == "MDC"
        and figure.region in (region, "any")
    ]
    return min(
        fitting, key=lambda f: (f.region != region, f.status != "seen", -f.low), default=None
    )


def _change(name: str, before: float, after: float, figure: ScaleFigure | None) -> ScaleChange:
    label: ScaleLabel | None = None
    if figure is not None:
        label = _label(after - before, figure.low)
    return ScaleChange(name, before, after, label, figure)


def _label(change: float, error: float) -> ScaleLabel:
    if change == 0:
        return ScaleLabel.SAME
    # Averages are thirds, quarters and fifths: a hair of rounding must not decide.
    beyond = abs(change) >= error - 1e-9
    if change > 0:
        return ScaleLabel.HIGHER_BEYOND if beyond else ScaleLabel.HIGHER_WITHIN
    return ScaleLabel.LOWER_BEYOND if beyond else ScaleLabel.LOWER_WITHIN
