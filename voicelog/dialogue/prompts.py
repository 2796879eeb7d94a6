"""Every sentence the tool can say, from the prompts of the language."""

from voicelog.grammar.language import LanguageData, Names
from voicelog.grammar.numbers import spoken_digits, spoken_number
from voicelog.records.content import AnyContent, Drill, Note, Trial


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
        only = Trial.model_validate({slot: getattr(content, slot), "onset": content.onset})
        return say(language, "query", value=read_back(language, only))
    return say(language, "query", value=read_back(language, content))


def number(language: LanguageData, value: int) -> str:
    """A number so that fifteen and fifty can't be confused: from ten on, also digit by digit.

    Source: digit by digit as in ICAO Annex 10 Volume II, 5.2.1.4.1.
    """
    words = spoken_number(language.numbers, value)
    if value < 10:
        return words
    return say(language, "pair", words=words, digits=spoken_digits(language.numbers, value))


def read_back(language: LanguageData, content: AnyContent) -> str:
    """The whole content as it is read back, in full even where parts were carried over."""
    if isinstance(content, Trial):
        parts = _trial(language, content)
    elif isinstance(content, Drill):
        parts = _drill(language, content)
    elif isinstance(content, Note):
        text = content.text
        parts = [say(language, "note", text=text) if text else say(language, "note_kept")]
    else:
        parts = [say(language, content.kind, name=content.name)]
    return ", ".join(part for part in parts if part)


def degrees(language: LanguageData, trial: Trial) -> str:
    """The angle of a trial, or nothing."""
    if trial.range_deg is None:
        return ""
    prompt = "onset_deg" if trial.onset else "range_deg"
    return say(language, prompt, value=number(language, trial.range_deg))


def _trial(language: LanguageData, trial: Trial) -> list[str]:
    slots = language.slots
    joint = language.joints[trial.joint].spoken[0] if trial.joint else ""
    place = " ".join(part for part in (_form(slots.side, trial.side), joint) if part)
    return [
        place,
        _form(slots.manner, trial.manner),
        _form(language.motions, trial.motion),
        _form(slots.position, trial.position),
        _form(slots.phase, trial.phase),
        degrees(language, trial),
        "" if trial.pain is None else say(language, "pain", value=number(language, trial.pain)),
        *(_form(slots.quality, quality) for quality in trial.quality),
        _form(slots.end_feel, trial.end_feel),
        _form(slots.outcome, trial.outcome),
        _form(slots.instrument, trial.instrument),
    ]


def _drill(language: LanguageData, drill: Drill) -> list[str]:
    def measured(prompt: str, value: int | None) -> str:
        return "" if value is None else say(language, prompt, value=number(language, value))

    name = _form(language.drills, drill.name)
    sets = "" if drill.sets is None else number(language, drill.sets)
    reps = "" if drill.reps is None else number(language, drill.reps)
    dose = say(language, "sets_reps" if reps else "sets", sets=sets, reps=reps) if sets else ""
    return [
        _form(language.slots.side, drill.side),
        say(language, "drill", name=name),
        dose,
        measured("hold_s", drill.hold_s),
        _form(language.slots.band, drill.band),
        measured("effort", drill.effort),
    ]


def _form(names: Names, value: str | None) -> str:
    """The usual way to say a value; a value that the language no longer has is said as it is."""
    if value is None:
        return ""
    return names[value][0] if value in names else value
