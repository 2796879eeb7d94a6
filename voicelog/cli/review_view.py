"""How a visit that is being put right looks in a terminal."""

from collections.abc import Iterator, Sequence

from rich.console import Console
from rich.markup import escape
from rich.table import Column, Table
from rich.text import Text

from voicelog.corrections.history import Slot, differences, steps
from voicelog.corrections.look import Look
from voicelog.corrections.proposals import Proposal, picks
from voicelog.corrections.room import Room
from voicelog.dialogue import prompts
from voicelog.exports import wording
from voicelog.grammar.language import LanguageData
from voicelog.grammar.table_texts import ReviewTexts
from voicelog.records.content import Note
from voicelog.records.entry import Entry
from voicelog.store.base import Clip
from voicelog.telling.slots import labels, short_label, value_words

_MARKS = {"doubt": "bold yellow underline", "unread": "strike red"}
_STATES = {
    "discarded": "bright_black",
    "taken out": "bright_black",
    "not affirmed": "yellow",
    "unheard": "yellow",
    "unsure": "yellow",
    "saved": "green",
}


def keys(console: Console, text: ReviewTexts) -> None:
    """What can be entered."""
    table = Table(box=None, pad_edge=False, show_header=False)
    for key, means in text.keys.items():
        table.add_row(f"[bold]{escape(text.entered.get(key, key))}[/]", means)
    console.print(table)


def listed(console: Console, looks: Sequence[Look], language: LanguageData) -> None:
    """All entries by their numbers, and how many need a look."""
    text = language.texts.tables.review
    if not looks:
        console.print(language.texts.desk.visit.empty)
        return
    what = Column(text.what, overflow="fold")
    table = Table("", "", what, box=None, pad_edge=False)
    for number, look in enumerate(looks, start=1):
        sentence = Text(wording.sentence(look.shown.content, language))
        table.add_row(str(number), _state(look, text), sentence)
    console.print(table)
    waiting = sum(look.waits or look.doubtful for look in looks)
    console.print(text.to_do.format(count=waiting, total=len(looks)))


def show(console: Console, room: Room, look: Look, number: int, clips: Sequence[Clip]) -> None:
    """One entry: what was heard, how sure, the other readings, and how it came to be."""
    language = room.house.language
    text = language.texts.tables.review
    console.print()
    console.print(Text(f"{number}  {told(room, look.shown)}", style="bold"), _state(look, text))
    for line in (*_heard(look, language), *_sound(clips, text)):
        console.print(line)
    for pick, other in enumerate(picks(room, look), start=1):
        changed = _in_line(differences(look.shown.content, other.content, language))
        console.print(Text(f'   {pick}  "{other.text}": {changed}'))
    for line in (*_found(room, look), *_history(look, language)):
        console.print(line)


def _found(room: Room, look: Look) -> Iterator[Text]:
    """What was found in a note."""
    content, language = look.shown.content, room.house.language
    text = language.texts.tables.review
    for found in room.suggest(content.text) if isinstance(content, Note) else ():
        choices = (value_words(found.slot, each, language) for each in found.choices)
        what = f"{short_label(found.slot, language)} {text.found_or.join(choices)} {found.reason}"
        yield Text(f"   {text.found.format(what=what.rstrip())}")


def _history(look: Look, language: LanguageData) -> Iterator[Text]:
    for step in steps(look.history, language):
        at = f"{step.at:%Y-%m-%d %H:%M}"
        changed = f" ({_in_line(step.changed)})" if step.changed else ""
        done = language.texts.desk.card.step.format(done=step.done, by=step.by, at=at)
        yield Text(f"   {step.number}. {done}: {step.why}{changed}", style="bright_black")


def _heard(look: Look, language: LanguageData) -> Iterator[Text]:
    text = language.texts.tables.review
    for evidence in look.shown.evidence:
        heard = text.heard.format(words=evidence.text, percent=f"{100 * evidence.confidence:.0f}")
        yield Text(f"   {heard}")
    for slot, share in look.unsure:
        name = short_label(slot, language)
        doubt = text.unsure_slot.format(slot=name, percent=f"{100 * share:.0f}")
        yield Text(f"   {doubt}", style="yellow")
    if look.missing:
        lacking = text.missing.format(slots=labels(look.missing, language))
        yield Text(f"   {lacking}", style="yellow")


def _sound(clips: Sequence[Clip], text: ReviewTexts) -> Iterator[Text]:
    seconds = sum(clip.duration_s for clip in clips)
    yield Text("   " + (text.sound.format(seconds=f"{seconds:.1f}") if clips else text.no_sound))


def proposed(console: Console, it: Proposal, language: LanguageData) -> None:
    """What would be kept, before and after."""
    text = language.texts.tables.review
    if it.typed is not None:
        line = Text("   ")
        for piece, mark in it.typed.pieces:
            line.append(piece, style=_MARKS.get(mark, ""))
        console.print(line)
        for reason in it.typed.reasons:
            console.print(Text(f"   {text.doubtful.format(reason=reason)}", style="yellow"))
        if it.typed.unread:
            unread = text.unread.format(words=", ".join(it.typed.unread))
            console.print(Text(f"   {unread}", style="yellow"))
    if it.content is None:
        console.print(text.nothing)
        return
    for slot in it.changed:
        console.print(Text(f"   {slot.label}: {slot.before} → {slot.after}"))
    if it.unusual:
        twice = language.texts.desk.preview.look_twice
        console.print(f"   {it.unusual} {twice}", style="yellow")
    console.print(Text(f"   {it.read_back}", style="bold"))
    if it.missing:
        missing = text.still_missing.format(slots=labels(it.missing, language))
        console.print(missing, style="yellow")


def told(room: Room, entry: Entry) -> str:
    """An entry as it is read back."""
    return prompts.read_back(room.house.language, entry.content)


def _state(look: Look, text: ReviewTexts) -> Text:
    if look.gone:
        name = "discarded" if look.shown.status == "dropped" else "taken out"
    elif look.waits:
        name = "not affirmed"
    elif look.unheard:
        name = "unheard"
    else:
        name = "unsure" if look.doubtful else "saved"
    return Text(text.states[name], style=_STATES[name])


def _in_line(slots: Sequence[Slot]) -> str:
    return "; ".join(f"{slot.label.lower()} {slot.before} → {slot.after}" for slot in slots)
