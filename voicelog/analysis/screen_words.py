"""The safety screen in words. It says what is on file and by whom, and never more."""

from voicelog.analysis.safety import ItemState, Screen, ScreenState
from voicelog.analysis.tables import StopRule
from voicelog.records.screen import ScreenAnswer

DEFERENCE = (
    "This list supports your own screening. It makes no diagnosis, clears nobody for load and "
    "does not replace licensed assessment. Your licence, scope of practice, employer's policy and "
    "local law come first where they are stricter. When in doubt, do not load: refer."
)
_STATE = {
    ScreenState.BLOCKED: "Refer first. No trial is recorded until a clearance is entered.",
    ScreenState.INCOMPLETE: "The safety screen is not complete.",
    ScreenState.OPEN: "Every question of the safety screen has an answer on file.",
}


def screen_words(screen: Screen) -> str:
    """Where the screen stands, what is against trials, and what is not on file."""
    parts = [_STATE[screen.state]]
    parts.extend(_raised(s, s.answer) for s in screen.items if s.answer is not None and s.raised)
    parts.extend(f"No {kind} trial by what is on file." for kind in screen.closed)
    parts.extend(
        f"No {kind} trial at the {joint} by what is on file." for kind, joint in screen.closed_at
    )
    if not any(state.raised for state in screen.items) and screen.asked_by:
        parts.append(f"No flag recorded, asked by {' and '.join(screen.asked_by)}.")
    if screen.missing:
        parts.append(f"Not on file: {', '.join(item.id for item in screen.missing)}.")
    if screen.unknown:
        parts.append(f"Unknown questions on file, not used: {', '.join(screen.unknown)}.")
    if screen.others:
        parts.append(f"Of other clients, left out: {screen.others}.")
    return " ".join(parts)


def stop_prompt(rule: StopRule) -> str:
    """What is said once when a stop criterion is met."""
    return f"Stop. {rule.when.capitalize()}. Reassess, and refer if it does not settle quickly."


def _raised(state: ItemState, answer: ScreenAnswer) -> str:
    clearance = state.clearance
    told = f"{state.item.id} answered {answer.answer}, asked by {answer.asked_by}: {state.item.act}"
    if clearance is None:
        return told
    limits = f" Limits: {clearance.limits}." if clearance.limits else ""
    return (
        f"{told} Clearance by {clearance.given_by} of {clearance.given_on}, "
        f"entered by {clearance.entered_by}.{limits}"
    )
