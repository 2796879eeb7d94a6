"""Published figures and thresholds, each with its source and how sure that is."""

from collections.abc import Iterable

from voicelog.analysis.comparison import Comparison
from voicelog.analysis.progress import Change
from voicelog.analysis.range_error import RangeError
from voicelog.analysis.tables import Figure
from voicelog.grammar.language import LanguageData
from voicelog.telling.names import joint_name


def amount(value: str, unit: str, language: LanguageData) -> str:
    """A value as it is written with its unit, such as "2 points"."""
    units = language.texts.findings.figures.units
    return language.texts.counted(units[unit], value) if unit in units else f"{value} {unit}"


def figure_words(figure: Figure, language: LanguageData) -> str:
    """A figure with where it comes from, such as "2 points (CHILDS2005, seen)"; one that the
    practice set with its reason, beside the published one."""
    text = language.texts.findings.figures
    if figure.published is not None:
        published = figure_words(figure.published, language)
        origin = text.own.format(note=figure.note, figure=published)
    else:
        origin = _joined(figure.source_key, text.statuses[figure.status])
    return f"{amount(f'{figure.value:g}', figure.unit, language)} ({origin})"


def error_words(error: RangeError, language: LanguageData) -> str:
    """The error of an angle, such as "5.5 degrees (95 %, from SEM, ROACH2013, seen)"."""
    text = language.texts.findings.figures
    confidence = 95 if error.from_sem else error.row.confidence
    origin = _joined(
        text.sure.format(percent=confidence) if confidence is not None else "",
        text.from_sem if error.from_sem else "",
        error.row.source_key,
        text.statuses[error.row.status],
    )
    return f"{amount(f'{error.degrees:.1f}', 'degrees', language)} ({origin})"


def threshold_lines(
    changes: Iterable[Comparison | Change], language: LanguageData
) -> tuple[str, ...]:
    """Each threshold that decided a label, once, with its source and status."""
    text = language.texts.findings.figures
    lines: list[str] = []
    for each in changes:
        if each.pain is not None:
            floor, important = (
                figure_words(figure, language)
                for figure in (each.pain.rule.floor, each.pain.rule.important)
            )
            lines.append(text.pain_line.format(floor=floor, important=important))
        errors = [change.error for change in each.angles if change.error is not None]
        lines += [
            text.range_line.format(
                joint=joint_name(error.row.fit.joint, language), error=error_words(error, language)
            )
            for error in errors
        ]
    return tuple(dict.fromkeys(lines))


def _joined(*parts: str) -> str:
    return ", ".join(part for part in parts if part)
