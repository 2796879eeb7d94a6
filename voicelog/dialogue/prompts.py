"""Every sentence the tool can say, from the prompts of the language."""

from collections.abc import Collection

from voicelog.dialogue import draft as drafts
from voicelog.grammar.language import LanguageData, Names, Part
from voicelog.grammar.numbers import spoken_digits, spoken_number
from voicelog.grammar.parse import MANY, SlotValue
from voicelog.grammar.places import Meaning
from voicelog.records.content import AnyContent, Cue, Drill, Fault, Note, Trial


def say(language: LanguageData, prompt: str, **values: object) -> str:
    """The prompt of that name, filled in."""
    return language.prompts[prompt].format(**values)


def question(language: LanguageData, slot: str) -> str:
    """The question for a slot, in as few words as possible."""
    prompt = f"ask_{slot}"
    return say(language, prompt if prompt in language.prompts else "ask_other")


def query(language: LanguageData, content: AnyContent, slot: str) -> str:
    """A value that is in doubt, as a question: "pain three?"."""
    if isinstance(content, Trial):
        only = Trial.model_validate({slot: getattr(content, slot)})
        return say(language, "query", value=read_back(language, only))
    return say(language, "query", value=read_back(language, content))


def measured(language: LanguageData, prompt: str, value: int | None) -> str:
    """A value so that fifteen and fifty can't be confused: from ten on, also digit by digit.

    Source: digit by digit as in ICAO Annex 10 Volume II, 5.2.1.4.1.
    """
    if value is None:
        return ""
    text = say(language, prompt, value=spoken_number(language.numbers, value))
    return _spelled(language, text, value)


def _spelled(language: LanguageData, text: str, value: int) -> str:
    if value < 10:
        return text
    return say(language, "spelled", text=text, digits=spoken_digits(language.numbers, value))


def read_back(language: LanguageData, content: AnyContent, leave_out: Collection[Part] = ()) -> str:
    """The content as it is read back, in full even where parts were carried over; of a trial,
    without the parts to leave out."""
    if isinstance(content, Trial):
        said = _trial(language, content)
        assumed = [said.pop(slot) for slot in content.by_default if slot not in leave_out]
        parts = [said.get(part, "") for part in language.read_back_order if part not in leave_out]
        parts += [say(language, "by_default", values=", ".join(assumed))] if assumed else []
    elif isinstance(content, Drill):
        parts = _drill(language, content)
    elif isinstance(content, Note):
        text = content.text
        parts = [say(language, "note", text=text) if text else say(language, "note_kept")]
    else:
        names = language.faults if content.kind == "fault" else language.cues
        parts = [say(language, content.kind, name=_form(names, content.name))]
    return ", ".join(part for part in parts if part)


def values_read_back(language: LanguageData, meaning: Meaning) -> str:
    """Single values as they are read back, to see whether the ear can tell two of them apart;
    nothing for commands and words of opening."""
    slots: dict[str, SlotValue] = {
        slot: (str(value),) if slot in MANY else value for slot, value in meaning
    }
    kind = slots.pop("kind", None)
    name = next((str(slots[s]) for s in ("name", "drill_name") if s in slots), None)
    if kind == "command" or "command" in slots or not slots:
        return ""
    if name is not None and name in language.faults:
        return read_back(language, Fault(name=name))
    if name is not None and name in language.cues:
        return read_back(language, Cue(name=name))
    content: AnyContent = Trial()
    if name in language.drills or not drafts.fits(content, slots):
        content = Drill(name=name or next(iter(language.drills)))
    return read_back(language, drafts.change(content, slots, language))


def degrees(language: LanguageData, trial: Trial) -> str:
    """The angles of a trial, or nothing."""
    end = "range_deg" if trial.onset_deg is None else "end_deg"
    said = (
        measured(language, "onset_deg", trial.onset_deg),
        measured(language, end, trial.range_deg),
    )
    return ", ".join(part for part in said if part)


def _trial(language: LanguageData, trial: Trial) -> dict[Part, str]:
    slots = language.slots
    joint = language.joints[trial.joint].spoken[0] if trial.joint else ""
    place = " ".join(part for part in (_form(slots.side, trial.side), joint) if part)
    return {
        "joint": place,
        "manner": _form(slots.manner, trial.manner),
        "motion": _form(language.motions, trial.motion),
        "position": _form(slots.position, trial.position),
        "phase": _form(slots.phase, trial.phase),
        "range": degrees(language, trial),
        "pain": measured(language, "pain", trial.pain),
        "quality": ", ".join(_form(slots.quality, quality) for quality in trial.quality),
        "end feel": _form(slots.end_feel, trial.end_feel),
        "outcome": _form(slots.outcome, trial.outcome),
        "instrument": _form(slots.instrument, trial.instrument),
    }


def _drill(language: LanguageData, drill: Drill) -> list[str]:
    return [
        _form(language.slots.side, drill.side),
        say(language, "drill", name=_form(language.drills, drill.name)),
        _dose(language, drill),
        measured(language, "hold_s", drill.hold_s),
        _form(language.slots.band, drill.band),
        _form(language.slots.plane, drill.plane),
        _form(language.slots.direction, drill.direction),
        _tempo(language, drill.tempo),
        measured(language, "effort", drill.effort),
    ]


def _dose(language: LanguageData, drill: Drill) -> str:
    """ "three sets of eight"; the digits that are spelled are those of the repetitions."""
    if drill.sets is None or drill.reps is None:
        return measured(language, "sets", drill.sets) or measured(language, "reps", drill.reps)
    sets, reps = (spoken_number(language.numbers, count) for count in (drill.sets, drill.reps))
    return _spelled(language, say(language, "sets_reps", sets=sets, reps=reps), drill.reps)


def _tempo(language: LanguageData, tempo: str | None) -> str:
    if tempo is None:
        return ""
    digits = spoken_digits(language.numbers, int(tempo.replace("-", "")), places=4)
    return say(language, "tempo", value=digits)


def _form(names: Names, value: str | None) -> str:
    """The usual way to say a value; a value that the language no longer has is said as it is."""
    if value is None:
        return ""
    return names[value][0] if value in names else value
