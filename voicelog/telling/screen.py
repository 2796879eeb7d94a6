"""The safety screen in the few lines that stand in a note or under a visit."""

from collections.abc import Iterable

from voicelog.analysis.comparison import VisitComparisons
from voicelog.analysis.findings import Findings, ScreenOfVisit
from voicelog.analysis.safety import ItemState, Screen, ScreenState
from voicelog.analysis.tables import TrialKind

NOT_ON_FILE = "No safety screen on file."
DEFERENCE = (
    "This list supports your own screening. It makes no diagnosis, clears nobody for load and "
    "does not replace licensed assessment. Your licence, scope of practice, employer's policy and "
    "local law come first where they are stricter. When in doubt, do not load: refer."
)


def screen_lines(screened: ScreenOfVisit) -> tuple[str, ...]:
    """Where the screen of a visit stood, a sentence or two to a line."""
    screen = screened.screen
    if not screen.asked_by:
        return (NOT_ON_FILE, *_left_out(screen))
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
    return lines + _left_out(screen)


def asked(screen: Screen) -> str:
    """Who asked, and on which days."""
    days = sorted({s.answer.asked_at.date().isoformat() for s in screen.items if s.answer})
    on = days[0] if len(days) == 1 else f"{days[0]} to {days[-1]}"
    return f"asked by {' and '.join(screen.asked_by)} on {on}"


def cautions(screen: Screen) -> dict[tuple[str, str | None], str]:
    """For each kind of trial that the screen closes, at every joint (None) or at one, what it says
    against it."""
    everywhere: list[tuple[TrialKind, str | None]] = [(kind, None) for kind in screen.closed]
    closed = (*everywhere, *screen.closed_at)
    return {(kind, joint): " ".join(_against(screen, kind, joint)) for kind, joint in closed}


def care_lines(screen: Screen) -> tuple[str, ...]:
    """What to keep in mind before the first trial: closed kinds of trial, and precautions."""
    closed = (
        f"The screen on file says{_at(joint)}: {why}"
        for (_, joint), why in cautions(screen).items()
    )
    precautions = (f"{state.item.id}: {state.item.act}" for state in screen.precautions)
    return (*closed, *precautions)


def caution_lines(found: Findings) -> tuple[str, ...]:
    """Trials that were recorded although the screen of that time spoke against them."""
    done = _kinds_done(found.compared)
    against = cautions(found.screened.screen)
    return tuple(
        f"A {kind} trial{_at(joint)} was recorded although the screen on file speaks against it: "
        f"{why}"
        for (kind, joint), why in against.items()
        if (kind, joint) in done
    )


def _left_out(screen: Screen) -> tuple[str, ...]:
    lines: tuple[str, ...] = ()
    if screen.unknown:
        lines = (f"Unknown questions on file, not used: {', '.join(screen.unknown)}.",)
    if screen.others:
        lines += (f"Answers and clearances of other clients, left out: {screen.others}.",)
    return lines


def _kinds_done(compared: VisitComparisons) -> set[tuple[str, str | None]]:
    """The kinds of trial that were done, at any joint (None) and at each."""
    return {(c.phase, at) for c in compared.comparisons for at in (None, c.movement.joint)}


def _at(joint: str | None) -> str:
    return "" if joint is None else f" at the {joint}"


def _against(screen: Screen, kind: TrialKind, joint: str | None) -> Iterable[str]:
    closing = (
        state.item
        for state in screen.items
        if state.closes(kind) and (joint in state.joints if joint else not state.joints)
    )
    return dict.fromkeys(item.act for item in closing)


def _raised(state: ItemState) -> str:
    answer, clearance = state.answer, state.clearance
    if answer is None:
        return ""
    day = answer.asked_at.date().isoformat()
    where = f" for {' and '.join(answer.joints)}" if answer.joints else ""
    said = f"{state.item.id} answered {answer.answer}{where}, asked by {answer.asked_by} on {day}"
    if clearance is None:
        return f"{said}: {state.item.ask} {state.item.act}"
    words = f" ({clearance.limits})" if clearance.limits else ""
    return (
        f"{said}: {state.item.ask} Clearance by {clearance.given_by} of "
        f"{clearance.given_on.isoformat()}{words}, entered by {clearance.entered_by}."
    )
