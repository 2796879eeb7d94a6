"""The reference tables as the core sees them: every figure with its source key and status.

The tables are data (`voicelog/reference/`); `data_files.reference_tables` reads them once and hands
them to the functions of this package. Angles are degrees, pain is points of the 0-10 scale.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

Status = Literal["seen", "memory", "inference", "common practice, no source", "set by the practice"]
"""seen: the number was read in the source named. memory: recalled, not read. inference: reasoned
from other figures. common practice, no source: a habit of the trade. set by the practice: its own
figure in the place of a published one."""

COMMON_PRACTICE: Status = "common practice, no source"
TrialKind = Literal["gap", "compression"]


@dataclass(frozen=True, slots=True)
class Figure:
    """A single number that a rule stands on. `value` is in `unit`.

    `published` is the figure whose place it takes, where a practice set its own.
    """

    name: str
    value: float
    unit: str
    source_key: str
    status: Status
    note: str = ""
    published: "Figure | None" = None


@dataclass(frozen=True, slots=True)
class PainFigure:
    """One published figure about change on the pain scale; `low` and `high` are equal or a span."""

    source_key: str
    population: str
    statistic: str
    low: float
    high: float
    unit: Literal["points", "percent", "mm"]
    status: Status
    mark: bool
    """Whether it is a reduction on the 0-10 scale that a fall can reach; a standard error, an end
    score and one in millimetres are none."""


@dataclass(frozen=True, slots=True)
class Fit:
    """Which movements a row speaks about. None means that the row makes no difference there."""

    joint: str
    motion: str | None
    manner: str | None
    position: str | None
    whole: bool
    """False when the row covers more than this joint, such as the whole arm."""
    note: str = ""


@dataclass(frozen=True, slots=True)
class ErrorRow:
    """Published error of measuring an angle: SEM or MDC in degrees, upper end where a span."""

    fit: Fit
    method: str
    rater: Literal["intra", "intra_retest", "inter", "criterion"]
    sem_deg: float | None
    mdc_deg: float | None
    span: bool
    """True when the figure is the upper end of a published span."""
    confidence: int | None
    n: str
    source_key: str
    status: Status


@dataclass(frozen=True, slots=True)
class RangeRow:
    """Published range of motion: mean in degrees, by sex ("F", "M" or "both") and age in years."""

    fit: Fit
    sex: Literal["F", "M", "both"]
    age_low: int | None
    age_high: int | None
    mean_deg: float
    sd_deg: float | None
    ci95_deg: tuple[float, float] | None
    spread_recalled: bool
    """True when the mean was seen but its spread is from memory."""
    n: str
    source_key: str
    status: Status


@dataclass(frozen=True, slots=True)
class ScreenItem:
    """One question of the safety screen; its words belong to the language."""

    id: str
    kind: Literal["refer first", "contraindication", "precaution"]
    trials: tuple[TrialKind, ...]
    sources: tuple[str, ...]
    status: Status
    joints: tuple[str, ...] = ()
    """The joints that the question itself is about; empty for every joint."""


@dataclass(frozen=True, slots=True)
class StopRule:
    """One reason to stop at once, with the dictated words that raise it."""

    code: str
    when: str
    qualities: tuple[str, ...]
    end_feels: tuple[str, ...]
    sources: tuple[str, ...]
    status: Status


@dataclass(frozen=True, slots=True)
class ScaleFigure:
    """One published figure of a companion scale; `high` is None unless the figure is a band."""

    scale: Literal["psfs", "grc"]
    form: str
    region: str
    statistic: str
    low: float
    high: float | None
    source_key: str
    status: Status


@dataclass(frozen=True, slots=True)
class Source:
    """A publication that figures come from; `note` says what of it was read or used. How each row
    came about stands in the table beside it, for those who check the figures."""

    key: str
    citation: str
    note: str
    address: str


@dataclass(frozen=True, slots=True)
class Tables:
    """Everything the analysis needs to know from outside, loaded once."""

    rules: Mapping[str, Figure]
    pain: tuple[PainFigure, ...]
    errors: tuple[ErrorRow, ...]
    ranges: tuple[RangeRow, ...]
    screen: tuple[ScreenItem, ...]
    stops: tuple[StopRule, ...]
    scales: tuple[ScaleFigure, ...]
    sources: Mapping[str, Source]


def covers(fit: Fit, joint: str, motion: str, manner: str | None, position: str | None) -> bool:
    """Whether a row speaks about this movement.

    A row without a manner was measured actively or passively, so it says nothing about a resisted
    or weight-bearing movement. A row with a manner or a position needs exactly that.
    """
    if fit.joint != joint or (fit.motion is not None and fit.motion != motion):
        return False
    if fit.manner is None:
        if manner not in (None, "active", "passive"):
            return False
    elif fit.manner != manner:
        return False
    return fit.position is None or fit.position == position
