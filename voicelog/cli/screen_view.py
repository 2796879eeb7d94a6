"""How the safety screen looks in a terminal."""

from rich.console import Console
from rich.padding import Padding
from rich.table import Table

from voicelog.analysis.safety import ItemState, Screen, ScreenState
from voicelog.analysis.tables import ScreenItem
from voicelog.grammar.language import LanguageData
from voicelog.records.screen import ScreenAnswer
from voicelog.telling.names import joint_name, opened
from voicelog.telling.screen import asked, closed_lines, question

_COLOURS = {
    ScreenState.BLOCKED: "red",
    ScreenState.INCOMPLETE: "yellow",
    ScreenState.OPEN: "default",
}


def question_view(
    console: Console, items: tuple[ScreenItem, ...], at: int, language: LanguageData
) -> None:
    """One question, with a heading where a new part begins."""
    heading = _heading(items[at], language)
    if at == 0 or heading != _heading(items[at - 1], language):
        console.print(f"\n[bold underline]{heading}[/]")
    console.print(
        f"\n[dim]{at + 1}/{len(items)}  {items[at].id}[/]  {question(items[at], language).ask}"
    )


def screen_view(console: Console, client: str, screen: Screen, language: LanguageData) -> None:
    """What is on file: the state, what was raised with its clearance, what was not asked."""
    text, table = language.texts.screen, language.texts.tables.screen
    console.print(f"\n[bold]{table.title.format(client=client)}[/]")
    if not screen.asked_by:
        ask_it = table.ask_it.format(command=f"voicelog screen {client}")
        console.print(f"{text.not_on_file} {ask_it}", style="yellow")
        return
    console.print(text.states[screen.state], style=f"bold {_COLOURS[screen.state]}")
    raised = [state for state in screen.items if state.raised]
    if raised:
        console.print(_raised(raised, language))
    else:
        console.print(table.no_flag)
    for line in closed_lines(screen, language):
        console.print(line, style="bold yellow")
    if screen.missing:
        items = ", ".join(item.id for item in screen.missing)
        console.print(text.missing.format(items=items), style="yellow")
    console.print(f"{opened(asked(screen, language))}.")
    console.print(Padding(text.deference, (1, 0, 0, 0)), style="dim")


def _raised(states: list[ItemState], language: LanguageData) -> Table:
    text = language.texts.tables.screen
    table = Table("", *text.columns, box=None, pad_edge=False)
    for state in states:
        answer, clearance = state.answer, state.clearance
        words = question(state.item, language)
        act = words.act
        if clearance is not None:
            day = clearance.given_on.isoformat()
            act += f" {text.clearance.format(by=clearance.given_by, day=day)}"
            act += f": {clearance.limits}" if clearance.limits else ""
        style = "bold" if state.stands else ""
        table.add_row(state.item.id, _answered(answer, language), words.ask, act, style=style)
    return table


def _answered(answer: ScreenAnswer | None, language: LanguageData) -> str:
    if answer is None:
        return ""
    joints = ", ".join(joint_name(joint, language) for joint in answer.joints)
    return f"{language.texts.screen.answers[answer.answer]} {joints}".strip()


def _heading(item: ScreenItem, language: LanguageData) -> str:
    kind = "refer first" if item.kind == "refer first" else item.trials[0]
    return language.texts.screen.headings[kind]
