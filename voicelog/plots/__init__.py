"""Progress as pictures: pain, range and dose over the visits, as SVG text."""

from collections.abc import Iterator

from voicelog.analysis.progress import MovementProgress, pain_free_deg
from voicelog.grammar.language import LanguageData
from voicelog.plots.course import pain_plot, range_plot
from voicelog.plots.dose import dose_plots

__all__ = ["dose_plots", "pain_plot", "plots", "range_plot"]


def plots(progress: MovementProgress, language: LanguageData) -> Iterator[tuple[str, str]]:
    """Every picture of the movement that has a value, as its kind and SVG text."""
    trials = [r for point in progress.points for r in (point.start, point.end) if r]
    if any(r.pain is not None for r in trials):
        yield "pain", pain_plot(progress, language)
    if any(r.trial.range_deg is not None for r in trials):
        yield "range", range_plot(progress, language)
    if any(pain_free_deg(r) is not None for r in trials):
        yield "pain-free", range_plot(progress, language, pain_free=True)
