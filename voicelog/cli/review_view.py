"""How a visit that is being put right looks in a terminal."""

from collections.abc import Sequence

from rich.console import Console
from rich.markup import escape
from rich.table import Table
from rich.text import Text

from voicelog.corrections.history import Slot, differences, steps
from voicelog.corrections.look import Look
from voicelog.corrections.proposals import Proposal, picks
from voicelog.corrections.room import Room
from voicelog.dialogue import prompts
from voicelog.exports import wording
from voicelog.grammar.language import LanguageData
from voicelog.records.content import Note
from voicelog.records.entry import Entry
from voicelog.store.base import Clip

_MARKS = {"doubt": "bold yellow underline", "unread": "strike red"}
_KEYS = (
    ("Enter, n", "the next that needs a look"),
    ("g 3", "go to number 3 of the list"),
    ("l", "the list"),
    ("p", "play"),
    ("1 to 9", "take that reading"),
    ("R knee flex 4/10", "anything else is read as shorthand: what was said"),
    ("a", "affirm as it stands, or what was just proposed"),
    ("x", "leave it as it was"),
    ("d", "discard what was not affirmed; d WHY takes a record out"),
    ("u", "undo the last change"),
    ("k", "a note: I compared it with its sound"),
    ("= TEXT", "a note: its text"),
    ("r LINE", "a note: make a record of it, in shorthand"),
    ("q", "quit"),
)


def keys(console: Console) -> None:
    """What can be entered."""
    table = Table(box=None, pad_edge=False, show_header=False)
    for key, means in _KEYS:
        table.add_row(f"[bold]{escape(key)}[/]", means)
    console.print(table)


def listed(console: Console, looks: Sequence[Look], language: LanguageData) -> None:
    """All entries, those that need a look first."""
    if not looks:
        console.print("Nothing was recorded in this visit.")
        return
    table = Table("", "", "What", box=None, pad_edge=False)
    for number, look in enumerate(looks, start=1):
        table.add_row(
            str(number), _state(look), Text(wording.sentence(look.shown.content, language))
        )
    console.print(table)
    waiting = sum(look.waits or look.doubtful for look in looks)
    console.print(f"{waiting} of {len(looks)} need a look. h lists the keys.")


def show(console: Console, room: Room, look: Look, number: int, clips: Sequence[Clip]) -> None:
    """One entry: what was heard, how sure, the other readings, and how it came to be."""
    console.print()
    console.print(Text(f"{number}  {told(room, look.shown)}", style="bold"), _state(look))
    for evidence in look.shown.evidence:
        sure = f"{evidence.confidence:.0%} sure"
        console.print(Text(f'   heard "{evidence.text}", {sure}'))
    for slot, share in look.unsure:
        console.print(Text(f"   doubtful: {slot}, {share:.0%} sure", style="yellow"))
    if look.missing:
        console.print(Text(f"   missing: {', '.join(look.missing)}", style="yellow"))
    seconds = sum(clip.duration_s for clip in clips)
    console.print(f"   sound: {seconds:.1f} s, p plays it" if clips else "   no sound is kept")
    for pick, other in enumerate(picks(room, look), start=1):
        changed = _in_line(differences(look.shown.content, other.content))
        console.print(Text(f'   {pick}  "{other.text}": {changed}'))
    content = look.shown.content
    if isinstance(content, Note):
        for found in room.suggest(content.text):
            choices = " or ".join(map(str, found.choices))
            console.print(Text(f"   found in it: {found.slot} {choices} {found.reason}".rstrip()))
    for step in steps(look.history):
        at = step.at.astimezone()
        changed = f" ({_in_line(step.changed)})" if step.changed else ""
        line = f"   {step.number}. {step.done} by {step.by}, {at:%Y-%m-%d %H:%M}: {step.why}"
        console.print(Text(line + changed, style="bright_black"))


def proposed(console: Console, it: Proposal) -> None:
    """What would be kept, before and after."""
    if it.typed is not None:
        text = Text("   ")
        for piece, mark in it.typed.pieces:
            text.append(piece, style=_MARKS.get(mark, ""))
        console.print(text)
        for doubt in it.typed.reading.doubts:
            console.print(Text(f"   doubtful: {doubt.reason}", style="yellow"))
        if it.typed.unread:
            console.print(Text(f"   not read: {', '.join(it.typed.unread)}", style="yellow"))
    if it.content is None:
        console.print("Nothing that could be kept was read in this. It stays as it was.")
        return
    for slot in it.changed:
        console.print(Text(f"   {slot.label}: {slot.before} → {slot.after}"))
    if it.unusual:
        console.print(f"   {it.unusual} Look twice.", style="yellow")
    console.print(Text(f"   {it.read_back}", style="bold"))
    if it.missing:
        missing = ", ".join(it.missing)
        console.print(f"Still missing: {missing}. Type it all once more.", style="yellow")


def told(room: Room, entry: Entry) -> str:
    """An entry as it is read back."""
    return prompts.read_back(room.house.language, entry.content)


def _state(look: Look) -> Text:
    if look.gone:
        return Text(look.shown.status, style="bright_black")
    if look.waits:
        return Text("not affirmed", style="yellow")
    if look.unheard:
        return Text("not compared with its sound", style="yellow")
    return Text("heard unsurely", style="yellow") if look.doubtful else Text("saved", style="green")


def _in_line(slots: Sequence[Slot]) -> str:
    return "; ".join(f"{slot.label.lower()} {slot.before} → {slot.after}" for slot in slots)
