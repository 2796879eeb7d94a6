"""From an utterance to a draft: ask what is missing, doubtful or unusual, else read it back."""

from dataclasses import replace

from voicelog.dialogue import draft as drafts
from voicelog.dialogue import prompts
from voicelog.dialogue.actions import Action, Keep, Say, Signal
from voicelog.dialogue.events import Heard
from voicelog.dialogue.state import Draft, Setting, State, Step
from voicelog.grammar.language import Part
from voicelog.grammar.parse import Intent
from voicelog.records.content import AnyContent, Trial
from voicelog.records.entry import Entry

_MOVEMENT = ("side", "joint", "motion", "manner", "position", "instrument")
_MOVEMENT_PARTS: tuple[Part, ...] = ("joint", "motion", "manner", "position", "instrument")


def start(state: State, heard: Heard, intent: Intent) -> Step:
    """Begin a new entry; a draft that was still open is set aside, unconfirmed."""
    setting = state.setting
    state, before = put_aside(state)
    content = drafts.begin(intent, state.carried, setting.language, setting.defaults)
    entry = Entry(
        entry_id=heard.fresh_id,
        visit_id=setting.visit.visit_id,
        client=setting.visit.client,
        status="unconfirmed",
        content=content,
        spoken_at=heard.at,
        at=heard.at,
        by=setting.by,
        why="dictated",
        evidence=(heard.evidence,),
    )
    state, actions = propose(state, Draft(entry, doubtful=_doubtful(content, heard)))
    return state, (*before, *actions)


def is_answer(draft: Draft, intent: Intent) -> bool:
    """Whether the utterance answers the question that is open, rather than starting anew."""
    if draft.asked is None or intent.kind != "record":
        return False
    content, slots = draft.entry.content, drafts.answered(intent.slots, draft.asked)
    return drafts.fits(content, slots) and not drafts.contradicts(content, slots, draft.asked)


def revise(state: State, draft: Draft, heard: Heard, intent: Intent) -> Step:
    """Change the draft by what was just said, and propose it anew."""
    setting = state.setting
    slots = drafts.answered(intent.slots, draft.asked)
    content = drafts.change(draft.entry.content, slots, setting.language, setting.defaults)
    newest = state.newest(draft.entry.entry_id)
    entry = draft.entry.propose(content, heard.evidence, heard.at, newest)
    settled = drafts.fields_of(content, slots)
    doubtful = {*(set(draft.doubtful) - settled), *_doubtful(content, heard)}
    revised = Draft(
        entry,
        doubtful=tuple(sorted(doubtful)),
        checked=draft.checked - settled,
        waits=draft.waits or (draft.kept and draft.entry.status == "unconfirmed"),
    )
    return propose(state, revised)


def _doubtful(content: AnyContent, heard: Heard) -> tuple[str, ...]:
    return tuple(sorted(drafts.fields_of(content, heard.interpretation.doubtful)))


def put_aside(state: State) -> Step:
    """Leave the open draft unconfirmed: it stays in the store, and is no record."""
    if state.draft is None:
        return state, ()
    entry = state.draft.entry
    unkept: tuple[Action, ...] = () if state.draft.kept else (Keep(entry),)
    others = tuple(one for one in state.aside if one.entry_id != entry.entry_id)
    state = replace(state, draft=None, aside=(*others, entry))
    return state, (*unkept, Signal("kept"))


def propose(state: State, draft: Draft) -> Step:
    """Keep the draft as unconfirmed, then ask for one slot or read the whole back."""
    state, warning = _warn(state, draft.entry.content)
    asked, text = _next_question(state.setting, draft)
    if asked is None:
        state, asked, text = _caution(state, draft.entry.content)
    if asked is None:
        text = read_back(state, draft.entry)
    kept: tuple[Action, ...] = () if draft.kept else (Keep(draft.entry),)
    state = replace(state, draft=replace(draft, asked=asked, sentence=text), said=text)
    say = Say(text, aloud=asked is not None or state.setting.read_back != "tones")
    return state, (*kept, *warning, Signal("heard" if asked is None else "ask"), say)


def read_back(state: State, entry: Entry) -> str:
    """The sentence that an affirmation would be a yes to."""
    language = state.setting.language
    if state.is_saved(entry.entry_id):
        whole = prompts.read_back(language, entry.content)
        return prompts.say(language, "correction", what=whole)
    return prompts.read_back(language, entry.content, _as_before(state, entry.content))


def _as_before(state: State, content: AnyContent) -> tuple[Part, ...]:
    """What of a trial need not be said again, as it is that of the trial before."""
    carried = state.carried
    if state.setting.read_back != "doubtful" or carried is None or not isinstance(content, Trial):
        return ()
    same = all(getattr(content, s) == getattr(carried, s) for s in _MOVEMENT)
    return _MOVEMENT_PARTS if same and content.phase is not None else ()


def _next_question(setting: Setting, draft: Draft) -> tuple[str | None, str]:
    """The slot to ask for and the question, or None when the whole can be read back."""
    content, language = draft.entry.content, setting.language
    if isinstance(content, Trial):
        missing = language.missing(content)
        if missing:
            return missing[0], prompts.question(language, missing[0])
    for slot in draft.doubtful:
        if slot not in draft.checked:
            return slot, prompts.query(language, content, slot)
    unusual = _unusual(setting, content, draft.checked) if isinstance(content, Trial) else None
    if unusual is not None:
        only = Trial.model_validate({unusual: getattr(content, unusual)})
        return unusual, prompts.say(language, "unusual", value=prompts.degrees(language, only))
    return None, ""


def _unusual(setting: Setting, trial: Trial, checked: frozenset[str]) -> str | None:
    """The first angle that the movement hardly has, and that was not checked yet."""
    low, high = setting.plausible.get((trial.joint or "", trial.motion or ""), (0, 180))
    angles = {"onset_deg": trial.onset_deg, "range_deg": trial.range_deg}
    return next(
        (
            s
            for s, a in angles.items()
            if a is not None and s not in checked and not low <= a <= high
        ),
        None,
    )


def _caution(state: State, content: AnyContent) -> tuple[State, str | None, str]:
    """The phase as a question, once in a visit, where the safety screen speaks against it at every
    joint or at this one."""
    if not isinstance(content, Trial) or content.phase is None:
        return state, None, ""
    everywhere, here = (content.phase, None), (content.phase, content.joint)
    marks: dict[tuple[str, str | None], str] = {everywhere: content.phase}
    marks[here] = f"{content.phase} {content.joint}"
    against = state.setting.cautions
    new = [at for at, mark in marks.items() if at in against and mark not in state.warned]
    if not new:
        return state, None, ""
    language = state.setting.language
    trial = prompts.read_back(language, Trial(phase=content.phase)).capitalize()
    text = prompts.say(language, "caution", why=" ".join(against[at] for at in new), trial=trial)
    return replace(state, warned=state.warned | {marks[at] for at in new}), "phase", text


def _warn(state: State, content: AnyContent) -> Step:
    """A prompt, once in a visit for each word, at a word at which testing should stop."""
    if not isinstance(content, Trial):
        return state, ()
    language = state.setting.language
    new = [
        word
        for word in content.quality
        if word in state.setting.stop_words and word not in state.warned
    ]
    if not new:
        return state, ()
    words = ", ".join(language.slots.quality[word][0] for word in new)
    text = prompts.say(language, "stop_word", word=words.capitalize())
    return replace(state, warned=state.warned | set(new)), (Signal("trouble"), Say(text))
