"""Where the line between error and change was drawn, and which trials a direction stands on."""

from collections.abc import Iterable

from voicelog.analysis.comparison import Comparison
from voicelog.analysis.direction import Direction
from voicelog.analysis.numbering import Names
from voicelog.analysis.progress import Change
from voicelog.analysis.range_error import RangeError
from voicelog.analysis.words import STATUS, figure_words


def threshold_lines(changes: Iterable[Comparison | Change]) -> tuple[str, ...]:
    """Each threshold that decided a label, once, with its source and status."""
    lines: list[str] = []
    for each in changes:
        if each.pain is not None:
            rule = each.pain.rule
            lines.append(
                f"Pain: {figure_words(rule.floor)}; for lower beyond error also "
                f"{figure_words(rule.important)}."
            )
        errors = [change.error for change in each.angles if change.error is not None]
        lines += [f"Range of the {e.row.fit.joint}: {error_words(e)}." for e in errors]
    return tuple(dict.fromkeys(lines))


def error_words(error: RangeError) -> str:
    """The error of an angle, such as "5.5 degrees (95 %, from SEM, ROACH2013, seen)"."""
    confidence = 95 if error.from_sem else error.row.confidence
    parts = (
        f"{confidence} %" if confidence is not None else "",
        "from SEM" if error.from_sem else "",
        error.row.source_key,
        STATUS[error.row.status],
    )
    return f"{error.degrees:.1f} degrees ({', '.join(part for part in parts if part)})"


def evidence_words(direction: Direction, names: Names) -> str:
    """The trials and retests behind a direction, such as "Stands on gap #2, retest #4."."""
    told = [
        f"{each.phase} {names.get(each.trial, each.trial)}"
        for each in (*direction.trials, *direction.retests)
    ]
    return f"Stands on {', '.join(told)}."
