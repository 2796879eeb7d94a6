"""The sentences about comparisons: plain, short, and never more than the numbers say.

Nothing here calls anything safe, cured or free to go, and nothing names an effect of treatment.
"""

from voicelog.analysis.comparison import Comparison
from voicelog.analysis.pain import PainChange
from voicelog.analysis.range_error import RangeChange
from voicelog.grammar.language import LanguageData
from voicelog.telling.doubts import caveat_words, together
from voicelog.telling.figures import error_words, figure_words
from voicelog.telling.names import movement_words, named
from voicelog.telling.stops import raised_by


def pain_words(pain: PainChange, language: LanguageData) -> str:
    """The change of pain with its label and threshold."""
    text = language.texts.findings.changes
    moved = _moved(pain.change, (text.higher, text.lower), text.same)
    if pain.whole_percent is not None and pain.change:
        moved = text.percent.format(moved=moved, percent=abs(pain.whole_percent))
    figures = figure_words(pain.rule.floor, language)
    if pain.change < 0:
        important = figure_words(pain.rule.important, language)
        figures = text.both_figures.format(one=figures, other=important)
    return text.pain.format(
        before=pain.before,
        after=pain.after,
        moved=moved,
        label=text.labels[pain.label],
        figures=figures,
    )


def range_words(change: RangeChange, language: LanguageData) -> str:
    """The change of an angle with its label and the published error behind it."""
    text = language.texts.findings.changes
    numbers = (text.onset if change.onset else text.range).format(
        before=change.before,
        after=change.after,
        moved=_moved(change.change, (text.more, text.less), text.same),
    )
    if change.label is None or change.error is None:
        return text.unrated.format(change=numbers)
    label = text.labels[change.label]
    return text.rated.format(change=numbers, label=label, error=error_words(change.error, language))


def comparison_words(comparison: Comparison, language: LanguageData) -> str:
    """One trial against its baseline, with every caveat, as a short paragraph."""
    text, stops = language.texts.findings, comparison.stops
    phase = named("phase", comparison.phase, language)
    parts = [f"{movement_words(comparison.movement, language)}, {phase}."]
    if comparison.pain is not None:
        parts.append(pain_words(comparison.pain, language))
    parts += [range_words(change, language) for change in comparison.angles]
    if stops:
        raised = ", ".join(raised_by(stop, language) for stop in stops)
        parts.append(text.stops.raised.format(raised=raised))
    parts.extend(caveat_words(caveat, language) for caveat in together(comparison.caveats))
    if comparison.pain is not None or comparison.angles:
        parts.append(text.changes.same_visit)
    return " ".join(parts)


def _moved(change: int, up_down: tuple[str, str], same: str) -> str:
    return up_down[change < 0].format(change=abs(change)) if change else same
