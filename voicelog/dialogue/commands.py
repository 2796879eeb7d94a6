"""What each spoken command means. Its words are data (`grammar/…/commands.toml`); the names match.

A command acts only where the dialogue expects it; anywhere else it is passed over in silence.
"""

from collections.abc import Callable, Mapping
from dataclasses import replace
from datetime import datetime

from voicelog.dialogue import draft as drafts
from voicelog.dialogue import prompts
from voicelog.dialogue.actions import Action, Drop, EndVisit, Keep, Save, Say, Signal
from voicelog.dialogue.events import Heard, How
from voicelog.dialogue.proposal import propose, read_back, revise
from voicelog.dialogue.state import Draft, State, Step
from voicelog.grammar.parse import Intent
from voicelog.records.content import Trial
from voicelog.records.entry import Affirmation, Entry

Command = Callable[[State, datetime, How], Step]


def command(state: State, name: str, at: datetime, how: How) -> Step:
    """Do what the command means here; nothing while the dialogue waits for something else."""
    if state.mode == "paused" and name != "go ahead":
        return state, ()
    if state.mode == "closing" and name not in ("affirm", "negative", "say again"):
        return state, ()
    return COMMANDS[name](state, at, how)


def correct(state: State, heard: Heard, intent: Intent) -> Step:
    """Replace only the slots that follow "correction": of the open draft, or of the last record."""
    if state.mode == "paused":
        return state, ()
    state = replace(state, mode="listening")
    draft = state.draft
    if draft is None:
        if state.last is None:
            return _tell(state, "nothing_saved")
        draft = Draft(state.last, kept=True)
    language, content = state.setting.language, draft.entry.content
    intent = replace(intent, slots=drafts.names_as(content, intent.slots, language))
    if not drafts.fits(content, intent.slots):
        what = prompts.read_back(language, content)
        return state, (Say(prompts.say(language, "does_not_fit", what=what)),)
    return revise(state, draft, heard, intent)


def dropped(state: State, entry: Entry) -> Step:
    """The draft is gone; an earlier record of the same entry stays."""
    was_saved = state.is_saved(entry.entry_id)
    return _tell(replace(state, draft=None), "as_before" if was_saved else "not_kept")


def _affirm(state: State, at: datetime, how: How) -> Step:
    if state.mode == "closing":
        return state, (*map(Keep, state.unkept), EndVisit(at))
    draft = state.draft
    if draft is None:
        return state, ()
    if draft.asked is None:
        kept: tuple[Action, ...] = () if draft.kept else (Keep(draft.entry),)
        affirmed = Affirmation(read_back=read_back(state, draft.entry), by=how)
        return state, (*kept, Save(draft.entry.confirm(affirmed, at)))
    if not _has_value(draft):
        return _say_again(state, at, how)
    return propose(state, replace(draft, checked=draft.checked | {draft.asked}))


def _negative(state: State, at: datetime, how: How) -> Step:
    if state.mode == "closing":
        state, told = _tell(replace(state, mode="listening"), "not_ended")
        if state.draft is None:
            return state, told
        open_again = state.draft.sentence
        return replace(state, said=open_again), (*told, Say(open_again))
    draft = state.draft
    if draft is None:
        return state, ()
    if draft.asked is not None and _has_value(draft) and draft.asked != "name":
        return _ask_anew(state, draft, draft.asked, at, how)
    if draft.asked is not None and _is_whole(state, draft):
        return propose(state, draft)
    return _drop(state, draft, at, how, why="negative")


def _ask_anew(state: State, draft: Draft, slot: str, at: datetime, how: How) -> Step:
    """The value was not right: ask for another."""
    content = drafts.clear(draft.entry.content, slot)
    emptied = draft.entry.change(content, at, f"negative, by {how}").model_copy(
        update={"version": state.newest(draft.entry.entry_id) + 1}
    )
    doubtful = tuple(one for one in draft.doubtful if one != slot)
    text = prompts.question(state.setting.language, slot)
    draft = Draft(emptied, slot, text, doubtful, draft.checked, waits=draft.waits or draft.kept)
    return replace(state, draft=draft, said=text), (Signal("ask"), Say(text))


def _disregard(state: State, at: datetime, how: How) -> Step:
    if state.draft is None:
        return _tell(state, "nothing_open")
    return _drop(state, state.draft, at, how, why="disregarded")


def _drop(state: State, draft: Draft, at: datetime, how: How, why: str) -> Step:
    """Drop the draft: it stays open until the store has said that it is dropped."""
    newest = state.newest(draft.entry.entry_id)
    if draft.waits or newest >= draft.entry.version:
        gone = draft.entry.drop(at, f"{why}, by {how}").model_copy(update={"version": newest + 1})
        return state, (Drop(gone),)
    return dropped(state, draft.entry)


def _has_value(draft: Draft) -> bool:
    """Whether the question that is open is about a value she gave, not about a missing one."""
    return getattr(draft.entry.content, draft.asked or "", None) not in (None, ())


def _is_whole(state: State, draft: Draft) -> bool:
    """Whether it can be a record without the value that is asked for."""
    content = draft.entry.content
    if isinstance(content, Trial):
        return not state.setting.language.missing(content)
    return draft.asked != "name"


def _say_again(state: State, at: datetime, how: How) -> Step:
    return state, (Say(state.said),) if state.said else ()


def _read_back(state: State, at: datetime, how: How) -> Step:
    entry = state.draft.entry if state.draft else state.last
    if entry is None:
        return _tell(state, "nothing_saved")
    return state, (Say(prompts.read_back(state.setting.language, entry.content)),)


def _stand_by(state: State, at: datetime, how: How) -> Step:
    text = prompts.say(state.setting.language, "standing_by")
    return replace(state, mode="paused"), (Signal("paused"), Say(text))


def _go_ahead(state: State, at: datetime, how: How) -> Step:
    if state.mode != "paused":
        return state, ()
    text = prompts.say(state.setting.language, "go_ahead")
    reminder = (Say(state.said),) if state.draft else ()
    return replace(state, mode="listening"), (Signal("ready"), Say(text), *reminder)


def _close_visit(state: State, at: datetime, how: How) -> Step:
    open_entries = state.unaffirmed
    language = state.setting.language
    listed = "; ".join(prompts.read_back(language, entry.content) for entry in open_entries)
    prompt = "closing_aside" if open_entries else "closing"
    counts = {"saved": len(state.records), "aside": len(open_entries), "list": listed}
    return _tell(replace(state, mode="closing"), prompt, **counts)


def _tell(state: State, prompt: str, **values: object) -> Step:
    text = prompts.say(state.setting.language, prompt, **values)
    return replace(state, said=text), (Say(text),)


COMMANDS: Mapping[str, Command] = {
    "affirm": _affirm,
    "negative": _negative,
    "disregard": _disregard,
    "say again": _say_again,
    "read back": _read_back,
    "stand by": _stand_by,
    "go ahead": _go_ahead,
    "close visit": _close_visit,
}
"""All but "correction", which carries values and so is done by `correct`."""
