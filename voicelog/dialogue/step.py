"""The heart: one pure function from a state and an event to a new state and what to do.

Propose, read back, affirm, save: only that path saves. A record is said to be saved only after
the store has said so (`Stored`).
"""

from dataclasses import replace

from voicelog.dialogue import prompts
from voicelog.dialogue.actions import EndVisit, Keep, Say, Signal
from voicelog.dialogue.commands import command, correct, dropped
from voicelog.dialogue.events import (
    Ended,
    Event,
    Heard,
    KeyPressed,
    NotEnded,
    NotHeard,
    NotStored,
    SoundBack,
    SoundGone,
    SoundLost,
    Stopped,
    Stored,
)
from voicelog.dialogue.proposal import is_answer, revise, start
from voicelog.dialogue.state import State, Step
from voicelog.grammar.interpret import Interpretation
from voicelog.records.content import Trial
from voicelog.records.entry import Entry


def step(state: State, event: Event) -> Step:
    """What follows from the event. The same state and event always give the same result."""
    if state.mode == "ended":
        return (_with_version(state, event.entry), ()) if isinstance(event, Stored) else (state, ())
    match event:
        case Heard():
            return _heard(replace(state, unsure=False), event)
        case KeyPressed(name, at):
            return command(replace(state, unsure=False), name, at, "key")
        case Stored(entry, remark):
            return _stored(state, entry, remark)
        case NotStored(entry, trouble):
            return _tell_again(state, _why_not_stored(state, entry), trouble=trouble)
        case Ended():
            text = prompts.say(state.setting.language, "ended")
            return replace(state, mode="ended", said=text), (Say(text),)
        case NotEnded(trouble):
            return _tell_again(replace(state, mode="listening"), "end_not_kept", trouble=trouble)
        case SoundLost():
            return _tell_again(state, "sound_lost")
        case SoundGone():
            return _tell_again(state, "sound_gone")
        case SoundBack(seconds):
            return _tell_again(state, "sound_back", seconds=max(1, round(seconds)))
        case NotHeard():
            return _tell_again(state, "not_heard")
        case Stopped(at):
            return replace(state, mode="ended"), (*map(Keep, state.unkept), EndVisit(at))


def _heard(state: State, heard: Heard) -> Step:
    intent = heard.interpretation.intent
    if intent is None:
        return _not_understood(state, heard.interpretation)
    if intent.command is not None:
        if intent.command == "correction":
            return correct(state, heard, intent)
        return command(state, intent.command, heard.at, "voice")
    if state.mode == "paused":
        return state, ()
    state = replace(state, mode="listening")  # where the end was asked, she goes on dictating
    if state.draft is not None and is_answer(state.draft, intent):
        return revise(state, state.draft, heard, intent)
    return start(state, heard, intent)


def _not_understood(state: State, interpretation: Interpretation) -> Step:
    """Talk is passed over in silence; only a yes or no that can't be told apart is asked for."""
    waits = state.mode == "closing" or (state.draft is not None and state.draft.asked is None)
    if interpretation.reason == "unsure command" and waits and state.mode != "paused":
        prompt = "unsure_closing" if state.mode == "closing" else "unsure_command"
        text = prompts.say(state.setting.language, prompt)
        return replace(state, unsure=True), (Signal("ask"), Say(text))
    return state, ()


def _stored(state: State, entry: Entry, remark: str) -> Step:
    """What the store has now; what was set aside while it failed is kept with it."""
    state = _with_version(state, entry)
    if entry.status in ("confirmed", "dropped"):
        others = tuple(one for one in state.aside if one.entry_id != entry.entry_id)
        state = replace(state, aside=others)
    state, actions = _told(state, entry, remark)
    return state, (*actions, *(Keep(one) for one in state.aside if not state.is_kept(one)))


def _with_version(state: State, entry: Entry) -> State:
    return replace(state, versions={**state.versions, entry.entry_id: entry.version})


def _told(state: State, entry: Entry, remark: str) -> Step:
    draft = state.draft
    if entry.status == "unconfirmed" and draft is not None:
        same = (entry.entry_id, entry.version) == (draft.entry.entry_id, draft.entry.version)
        return replace(state, draft=replace(draft, kept=True) if same else draft), ()
    if entry.status == "dropped":
        return dropped(state, entry)
    if entry.status != "confirmed":
        return state, ()
    others = tuple(r for r in state.records if r.entry_id != entry.entry_id)
    content = entry.content
    prompt = "saved_remark" if remark else "saved"
    text = prompts.say(state.setting.language, prompt, remark=remark)
    state = replace(
        state,
        draft=None,
        records=(*others, entry),
        carried=content if isinstance(content, Trial) else state.carried,
        said=text,
    )
    aloud = bool(remark) or state.setting.read_back != "tones"
    return state, (Signal("saved"), Say(text, aloud))


def _why_not_stored(state: State, entry: Entry) -> str:
    if state.draft is None or state.draft.entry.entry_id != entry.entry_id:
        return "aside_not_kept"
    return "not_dropped" if entry.status == "dropped" else "not_stored"


def _tell_again(state: State, prompt: str, **values: object) -> Step:
    """Say what happened; "say again" still gives what was last read back."""
    text = prompts.say(state.setting.language, prompt, **values)
    return state, (Signal("trouble"), Say(text))
