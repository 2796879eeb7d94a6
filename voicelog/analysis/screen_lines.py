"""The safety screen in the few lines that stand in a note or under a visit."""

from collections.abc import Iterable

from voicelog.analysis.comparison import VisitComparisons
from voicelog.analysis.findings import Findings, ScreenOfVisit
from voicelog.analysis.safety import TRIALS, ItemState, Screen, ScreenState
from voicelog.analysis.tables import TrialKind

NOT_ON_FILE = "No safety screen on file."


def screen_lines(screened: ScreenOfVisit) -> tuple[str, ...]:
    """Where the screen of a visit stood, a sentence or two to a line."""
    screen = screened.screen
    if not screen.asked_by:
        return (NOT_ON_FILE,)
    lines: tuple[str, ...] = ()
    if not screened.before:
        lines = ("No safety screen was on file when this visit began.",)
    if screen.state is ScreenState.BLOCKED:
        lines += ("Blocked: refer first. No clearance is on file.",)
    raised = [state for state in screen.items if state.raised]
    lines += tuple(_raised(state) for state in raised)
    if not raised:
        lines += (f"No flag recorded, {asked(screen)}.",)
    if screen.missing:
        lines += (f"Not asked: {', '.join(item.id for item in screen.missing)}.",)
    return lines


def asked(screen: Screen) -> str:
    """Who asked, and on which days."""
    days = sorted({s.answer.asked_at.date().isoformat() for s in screen.items if s.answer})
    on = days[0] if len(days) == 1 else f"{days[0]} to {days[-1]}"
    return f"asked by {' and '.join(screen.asked_by)} on {on}"


def cautions(screen: Screen) -> dict[str, str]:
    """For each kind of trial that the screen closes, what it says against it."""
    return {kind: " ".join(_against(screen, kind)) for kind in screen.closed}


def care_lines(screen: Screen) -> tuple[str, ...]:
    """What to keep in mind before the first trial: closed kinds of trial, and precautions."""
    closed = (f"The screen on file says: {why}" for why in cautions(screen).values())
    precautions = (f"{state.item.id}: {state.item.act}" for state in screen.precautions)
    return (*closed, *precautions)


def caution_lines(found: Findings) -> tuple[str, ...]:
    """Trials that were recorded although the screen of that time spoke against them."""
    done = _kinds_done(found.compared)
    against = cautions(found.screened.screen)
    return tuple(
        f"A {kind} trial was recorded although the screen on file speaks against it: "
        f"{against[kind]}"
        for kind in TRIALS
        if kind in done and kind in against
    )


def _kinds_done(compared: VisitComparisons) -> set[str]:
    return {comparison.phase for comparison in compared.comparisons}


def _against(screen: Screen, kind: TrialKind) -> Iterable[str]:
    closing = (
        state.item
        for state in screen.items
        if state.stands and state.item.kind != "precaution" and kind in state.item.trials
    )
    return dict.fromkeys(item.act for item in closing)


def _raised(state: ItemState) -> str:
    answer, clearance = state.answer, state.clearance
    if answer is None:
        return ""
    day = answer.asked_at.date().isoformat()
    said = f"{state.item.id} answered {answer.answer}, asked by {answer.asked_by} on {day}"
    if clearance is None:
        return f"{said}: {state.item.ask} {state.item.act}"
    words = f" ({clearance.limits})" if clearance.limits else ""
    return (
        f"{said}: {state.item.ask} Clearance by {clearance.given_by} of "
        f"{clearance.given_on.isoformat()}{words}, entered by {clearance.entered_by}."
    )
