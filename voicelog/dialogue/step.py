"""The heart: one pure function from a state and an event to a new state and what to do.

Propose, read back, affirm, save: only that path saves. A record is said to be saved only after
the store has said so (`Stored`).
"""

from dataclasses import replace

from voicelog.dialogue import prompts
from voicelog.dialogue.actions import EndVisit, Say, Signal
from voicelog.dialogue.commands import command, correct, dropped
from voicelog.dialogue.events import (
    Event,
    Heard,
    KeyPressed,
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
        return state, ()
    match event:
        case Heard():
            return _heard(replace(state, unsure=False), event)
        case KeyPressed(name, at):
            return command(replace(state, unsure=False), name, at, "key")
        case Stored(entry, remark):
            return _stored(state, entry, remark)
        case NotStored(entry, trouble):
            prompt = "not_dropped" if entry.status == "dropped" else "not_stored"
            return _trouble(state, prompt, trouble=trouble)
        case SoundLost():
            return _tell_again(state, "sound_lost")
        case SoundGone():
            return _trouble(state, "sound_gone")
        case SoundBack(seconds):
            return _tell_again(state, "sound_back", seconds=max(1, round(seconds)))
        case NotHeard():
            return _tell_again(state, "not_heard")
        case Stopped(at):
            return replace(state, mode="ended"), (EndVisit(at),)


def _heard(state: State, heard: Heard) -> Step:
    intent = heard.interpretation.intent
    if intent is None:
        return _not_understood(state, heard.interpretation)
    if intent.kind == "command" and intent.command is not None:
        if intent.command == "correction":
            return correct(state, heard, intent)
        return command(state, intent.command, heard.at, "voice")
    if state.mode == "paused":
        return state, ()
    if state.mode == "closing":  # she goes on dictating, so the visit goes on
        state = replace(state, mode="listening")
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
    state = replace(state, versions={**state.versions, entry.entry_id: entry.version})
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


def _tell_again(state: State, prompt: str, **values: object) -> Step:
    """Say what happened; "say again" still gives what was last read back."""
    text = prompts.say(state.setting.language, prompt, **values)
    return state, (Signal("trouble"), Say(text))


def _trouble(state: State, prompt: str, **values: object) -> Step:
    text = prompts.say(state.setting.language, prompt, **values)
    return replace(state, said=text), (Signal("trouble"), Say(text))
