"""Change of pain on the 0-10 scale against its baseline, by the published thresholds."""

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum

from voicelog.analysis.tables import Figure, PainFigure


class PainLabel(StrEnum):
    """What a change of pain may be called."""

    LOWER_BEYOND = "lower, beyond usual error"
    LOWER_WITHIN = "lower, within usual error"
    SAME = "no change"
    HIGHER_WITHIN = "higher, within usual error"
    HIGHER_BEYOND = "higher, beyond usual error - stop and review"
    NOT_RATED = "not rated: stop event"


@dataclass(frozen=True, slots=True)
class PainRule:
    """The figures that decide a label: points and percent, both needed for "lower, beyond"."""

    floor: Figure
    important: Figure
    small_start: Figure
    stop_rise: Figure
    ceiling: Figure


@dataclass(frozen=True, slots=True)
class PainChange:
    """Pain before and after, in points of the 0-10 scale; `change` is negative when it fell."""

    before: int
    after: int
    label: PainLabel
    rule: PainRule

    @property
    def change(self) -> int:
        """Points, negative when pain fell."""
        return self.after - self.before

    @property
    def percent(self) -> float | None:
        """Change in percent of the start; None when the start was 0."""
        return 100 * self.change / self.before if self.before else None

    @property
    def whole_percent(self) -> int | None:
        """The same without decimals; a half goes away from 0, as it is rounded by hand."""
        if self.before == 0:
            return None
        size = (200 * abs(self.change) + self.before) // (2 * self.before)
        return size if self.change > 0 else -size


def pain_rule(rules: Mapping[str, Figure]) -> PainRule:
    """The rule of this package out of the table of figures."""
    return PainRule(
        floor=rules["pain_error_floor"],
        important=rules["pain_important"],
        small_start=rules["pain_small_start"],
        stop_rise=rules["pain_stop_rise"],
        ceiling=rules["pain_ceiling"],
    )


def pain_label(before: int, after: int, rule: PainRule) -> PainLabel:
    """The label of a change between two scores of 0-10.

    "Beyond" downwards needs both the error floor in points and the important percentage, so that
    neither a small start nor a large one makes noise look like change.
    """
    fall = before - after
    if fall == 0:
        return PainLabel.SAME
    if fall < 0:
        beyond = -fall >= rule.floor.value
        return PainLabel.HIGHER_BEYOND if beyond else PainLabel.HIGHER_WITHIN
    if fall >= rule.floor.value and 100 * fall >= rule.important.value * before:
        return PainLabel.LOWER_BEYOND
    return PainLabel.LOWER_WITHIN


class PainChanges:
    """The change between any two scores, by one rule; kept, as there are only 121 of them."""

    def __init__(self, rule: PainRule) -> None:
        self.rule = rule
        self._known: dict[tuple[int, int], PainChange] = {}

    def between(self, before: int, after: int) -> PainChange:
        """The labelled change from one score to the other."""
        known = self._known.get((before, after))
        if known is None:
            known = PainChange(before, after, pain_label(before, after, self.rule), self.rule)
            self._known[before, after] = known
        return known


@dataclass(frozen=True, slots=True)
class Mark:
    """Whether a fall reaches one published mark; None when the mark has no meaning here."""

    figure: PainFigure
    reached: bool | None


def marks_reached(before: int, after: int, figures: tuple[PainFigure, ...]) -> tuple[Mark, ...]:
    """Each published reduction beside this fall: points against points, percent against percent.

    Figures that are no marks are left out. A span counts as reached at its upper end.
    """
    return tuple(Mark(f, _reached(before, after, f)) for f in figures if f.mark)


def _reached(before: int, after: int, figure: PainFigure) -> bool | None:
    fall = before - after
    if figure.unit == "points":
        return fall >= figure.high
    return 100 * fall >= figure.high * before if before else None
