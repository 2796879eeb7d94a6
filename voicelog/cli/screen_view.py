"""How the safety screen looks in a terminal."""

from rich.console import Console
from rich.padding import Padding
from rich.table import Table

from voicelog.analysis.safety import ItemState, Screen, ScreenState
from voicelog.analysis.tables import ScreenItem
from voicelog.records.screen import ScreenAnswer
from voicelog.telling.screen import DEFERENCE, NOT_ON_FILE, asked

_HEADINGS = {
    "refer first": "Refer first: a yes blocks every trial until a clearance is on file",
    "gap": "Before a gap trial",
    "compression": "Before a compression trial",
}
_STATE = {
    ScreenState.BLOCKED: ("Blocked. Refer first; no trial until a clearance is on file.", "red"),
    ScreenState.INCOMPLETE: ("Not complete. A question without an answer was not asked.", "yellow"),
    ScreenState.OPEN: ("Every question has an answer on file.", "default"),
}


def question_view(console: Console, items: tuple[ScreenItem, ...], at: int) -> None:
    """One question, with a heading where a new part begins."""
    heading = _heading(items[at])
    if at == 0 or heading != _heading(items[at - 1]):
        console.print(f"\n[bold underline]{heading}[/]")
    console.print(f"\n[dim]{at + 1}/{len(items)}  {items[at].id}[/]  {items[at].ask}")


def screen_view(console: Console, client: str, screen: Screen) -> None:
    """What is on file: the state, what was raised with its clearance, what was not asked."""
    console.print(f"\n[bold]Safety screen of {client}[/]")
    if not screen.asked_by:
        console.print(f"{NOT_ON_FILE} Ask it: voicelog screen {client}", style="yellow")
        return
    text, colour = _STATE[screen.state]
    console.print(text, style=f"bold {colour}")
    raised = [state for state in screen.items if state.raised]
    if raised:
        console.print(_raised(raised))
    else:
        console.print("No flag recorded.")
    for kind in screen.closed:
        console.print(f"No {kind} trial by what is on file.", style="bold yellow")
    for kind, joint in screen.closed_at:
        console.print(f"No {kind} trial at the {joint} by what is on file.", style="bold yellow")
    if screen.missing:
        console.print(f"Not asked: {', '.join(item.id for item in screen.missing)}", style="yellow")
    console.print(f"{asked(screen)[0].upper()}{asked(screen)[1:]}.")
    console.print(Padding(DEFERENCE, (1, 0, 0, 0)), style="dim")


def _raised(states: list[ItemState]) -> Table:
    table = Table("", "Answer", "Question", "What it asks for", box=None, pad_edge=False)
    for state in states:
        answer, clearance = state.answer, state.clearance
        act = state.item.act
        if clearance is not None:
            act += f" Clearance by {clearance.given_by}, {clearance.given_on.isoformat()}"
            act += f": {clearance.limits}" if clearance.limits else ""
        style = "bold" if state.stands else ""
        table.add_row(state.item.id, _answered(answer), state.item.ask, act, style=style)
    return table


def _answered(answer: ScreenAnswer | None) -> str:
    return " ".join((answer.answer, ", ".join(answer.joints))).strip() if answer else ""


def _heading(item: ScreenItem) -> str:
    return _HEADINGS["refer first" if item.kind == "refer first" else item.trials[0]]
