"""Published ranges, sides, companion scales and doses in words."""

from collections.abc import Iterable

from voicelog.analysis.progress import DrillGiven
from voicelog.analysis.scale_change import RatingMark, ScaleChange
from voicelog.analysis.side_difference import SideDifference
from voicelog.analysis.tables import RangeRow, ScaleFigure
from voicelog.grammar.language import LanguageData
from voicelog.telling.comparisons import range_words
from voicelog.telling.doses import dose
from voicelog.telling.doubts import caveat_words
from voicelog.telling.names import joint_name, motion_name, name_in, named, opened


def range_row_words(row: RangeRow, language: LanguageData) -> str:
    """One published range with its people, source and status."""
    text = language.texts.findings.references
    people, spread = text.sexes[row.sex], ""
    if row.age_low is not None:
        people += text.ages.format(low=row.age_low, high=row.age_high)
    if row.ci95_deg is not None:
        low, high = row.ci95_deg
        spread = text.interval.format(low=f"{low:g}", high=f"{high:g}")
    elif row.sd_deg is not None:
        spread = text.spread.format(degrees=f"{row.sd_deg:g}")
    if row.spread_recalled:
        spread += text.recalled
    return text.range.format(
        mean=f"{row.mean_deg:g}",
        spread=spread,
        people=people,
        origin=f"{row.source_key}, {language.texts.findings.figures.statuses[row.status]}",
    )


def side_words(found: SideDifference, language: LanguageData) -> str:
    """Left beside right, with every caveat."""
    movement = f"{joint_name(found.joint, language)} {motion_name(found.motion, language)}"
    parts = [language.texts.findings.references.sides.format(movement=opened(movement))]
    parts += (range_words(change, language) for change in found.angles)
    return " ".join([*parts, *(caveat_words(caveat, language) for caveat in found.caveats)])


def scale_words(change: ScaleChange, language: LanguageData) -> str:
    """A change of the client's own activities; higher is better there."""
    text, figure = language.texts.findings.references, change.figure
    name = text.average if change.name == "average" else change.name
    numbers = text.scale.format(
        name=opened(name), before=f"{change.before:.3g}", after=f"{change.after:.3g}"
    )
    if figure is None or change.label is None:
        return text.scale_unrated.format(scale=numbers)
    status = language.texts.findings.figures.statuses[figure.status]
    origin = f"{figure.low:g}, {_region(figure)}{figure.source_key}, {status}"
    label = text.scale_labels[change.label]
    return text.scale_rated.format(scale=numbers, label=label, origin=origin)


def rating_words(score: int, marks: Iterable[RatingMark], language: LanguageData) -> str:
    """A global rating of change beside its published figures."""
    text, statuses = language.texts.findings.references, language.texts.findings.figures.statuses
    told = "; ".join(
        (text.reaches if mark.reached else text.below).format(
            figure=f"{mark.figure.statistic} {_band(mark.figure)} ({_region(mark.figure)}"
            f"{mark.figure.source_key}, {statuses[mark.figure.status]})"
        )
        for mark in marks
        if mark.reached or mark.figure.high is None
    )
    return text.rating.format(score=f"{score:+d}", told=told or text.no_band)


def _band(figure: ScaleFigure) -> str:
    return f"{figure.low:g}" if figure.high is None else f"{figure.low:g}-{figure.high:g}"


def _region(figure: ScaleFigure) -> str:
    """The region that a figure is for, where it is not for all."""
    return "" if figure.region == "any" else f"{figure.region}, "


def dose_words(given: DrillGiven, language: LanguageData) -> str:
    """A drill with its side and dose, as far as they were said."""
    text, drill = language.texts.findings.references, given.drill
    parts = (name_in(language.drills, drill.name, language), named("side", drill.side, language))
    return text.given.format(
        day=f"{given.at:%Y-%m-%d}",
        drill=", ".join(part for part in parts if part),
        dose=dose(drill, language) or text.no_dose,
    )
