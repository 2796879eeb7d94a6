"""Results as plain data, for exports and scripts. Units stand in the names of the keys; values are
those that records keep, and `words` are in the language of the practice."""

from typing import Any

from voicelog.analysis.caveats import Caveat
from voicelog.analysis.comparison import Comparison
from voicelog.analysis.direction import Direction
from voicelog.analysis.findings import Findings, ScreenOfVisit
from voicelog.analysis.movement import Movement
from voicelog.analysis.pain import PainChange
from voicelog.analysis.range_error import RangeChange
from voicelog.analysis.side_difference import SideDifference
from voicelog.analysis.stop_events import StopEvent
from voicelog.analysis.stops import Stop
from voicelog.analysis.tables import Figure
from voicelog.grammar.language import LanguageData
from voicelog.telling.directions import direction_words
from voicelog.telling.doubts import caveat_words
from voicelog.telling.references import side_words
from voicelog.telling.screen import screen_lines
from voicelog.telling.stops import raised_by

Data = dict[str, Any]


def findings_data(found: Findings, language: LanguageData) -> Data:
    """One visit: `screen`, `comparisons`, `directions`, `baseline_stops`, `stop_events` (with the
    notes of what was done), `caveats`."""
    compared = found.compared
    return {
        "screen": screen_data(found.screened, language),
        "comparisons": [comparison_data(c, language) for c in compared.comparisons],
        "directions": [direction_data(d, language) for d in found.directions],
        "baseline_stops": [
            {"entry_id": name, **_stop(stop, language)} for name, stop in compared.baseline_stops
        ],
        "stop_events": [_stop_event(event, language) for event in found.stop_events],
        "caveats": [_caveat(c, language) for c in compared.caveats],
    }


def screen_data(screened: ScreenOfVisit, language: LanguageData) -> Data:
    """The safety screen: its state, what was raised, and what it says in words."""
    screen = screened.screen
    return {
        "state": str(screen.state) if screen.asked_by else "not on file",
        "on_file_before_visit": screened.before,
        "asked_by": list(screen.asked_by),
        "raised": [s.item.id for s in screen.items if s.raised],
        "standing": [s.item.id for s in screen.items if s.stands],
        "closed_trials": list(screen.closed),
        "closed_trials_at": [{"trial": kind, "joint": joint} for kind, joint in screen.closed_at],
        "not_asked": [item.id for item in screen.missing],
        "words": list(screen_lines(screened, language)),
    }


def comparison_data(comparison: Comparison, language: LanguageData) -> Data:
    """One trial against its baseline, by entry ids."""
    return {
        "movement": _movement(comparison.movement),
        "phase": comparison.phase,
        "trial": comparison.trial,
        "baseline": comparison.baseline,
        "pain": None if comparison.pain is None else _pain(comparison.pain),
        "range": None if comparison.range is None else _range(comparison.range),
        "onset": None if comparison.onset is None else _range(comparison.onset),
        "stops": [_stop(stop, language) for stop in comparison.stops],
        "caveats": [_caveat(c, language) for c in comparison.caveats],
    }


def side_data(found: SideDifference, language: LanguageData) -> Data:
    """Left beside right of one joint and motion, by entry ids; a change goes from left to right."""
    return {
        "joint": found.joint,
        "motion": found.motion,
        "left": found.left,
        "right": found.right,
        "range": None if found.range is None else _range(found.range),
        "onset": None if found.onset is None else _range(found.onset),
        "caveats": [_caveat(c, language) for c in found.caveats],
        "words": side_words(found, language),
    }


def direction_data(direction: Direction, language: LanguageData) -> Data:
    """The direction that eased one movement, with its evidence by entry ids."""
    return {
        "movement": _movement(direction.movement),
        "eased": str(direction.eased),
        "gap": None if direction.gap is None else direction.gap.trial,
        "compression": None if direction.compression is None else direction.compression.trial,
        "trials": [c.trial for c in direction.trials],
        "retests": [c.trial for c in direction.retests],
        "missing": [str(need) for need in direction.missing],
        "next_step": str(direction.next_step),
        "caveats": [_caveat(c, language) for c in direction.caveats],
        "words": direction_words(direction, language),
    }


def _movement(movement: Movement) -> Data:
    return movement._asdict()


def _pain(change: PainChange) -> Data:
    percent = change.percent
    return {
        "before": change.before,
        "after": change.after,
        "change": change.change,
        "percent": None if percent is None else round(percent, 1),
        "label": str(change.label),
        "thresholds": [_figure(change.rule.floor), _figure(change.rule.important)],
    }


def _range(change: RangeChange) -> Data:
    error = change.error
    return {
        "before_deg": change.before,
        "after_deg": change.after,
        "change_deg": change.change,
        "label": None if change.label is None else str(change.label),
        "error": None
        if error is None
        else {
            "degrees": round(error.degrees, 2),
            "from_sem": error.from_sem,
            "confidence_percent": 95 if error.from_sem else error.row.confidence,
            "source": error.row.source_key,
            "status": error.row.status,
        },
    }


def _figure(figure: Figure) -> Data:
    return {
        "name": figure.name,
        "value": figure.value,
        "unit": figure.unit,
        "source": figure.source_key,
        "status": figure.status,
    }


def _stop(stop: Stop, language: LanguageData) -> Data:
    return {"code": stop.code, "raised_by": raised_by(stop, language)}


def _stop_event(event: StopEvent, language: LanguageData) -> Data:
    """The trial, why, and the notes of what was done after it, by entry ids."""
    stops = [_stop(stop, language) for stop in event.stops]
    return {"trial": event.trial, "stops": stops, "noted": list(event.noted)}


def _caveat(caveat: Caveat, language: LanguageData) -> Data:
    return {
        "doubt": str(caveat.doubt),
        "about": list(caveat.about),
        "words": caveat_words(caveat, language),
    }
