"""Records in the words of the trade and of the practice's language, shared by the formats that
people read."""

from voicelog.grammar.language import LanguageData
from voicelog.records.content import AnyContent, Cue, Drill, Fault, Note, Trial
from voicelog.telling.doses import dose
from voicelog.telling.names import joint_name, motion_name, name_in, named


def movement(trial: Trial, language: LanguageData) -> str:
    """Such as: left ankle dorsiflexion."""
    side = named("side", trial.side, language)
    return _joined(
        side,
        joint_name(trial.joint, language),
        motion_name(trial.motion, language),
        by=" ",
    )


def qualities(trial: Trial, language: LanguageData) -> tuple[str, ...]:
    """What the trial felt like, as it is written."""
    return tuple(named("quality", quality, language) for quality in trial.quality)


def name_of(content: Drill | Fault | Cue, language: LanguageData) -> str:
    """The name of a drill, fault or cue, as it is written."""
    lists = {"drill": language.drills, "fault": language.faults, "cue": language.cues}
    return name_in(lists[content.kind], content.name, language)


def reach(trial: Trial, language: LanguageData) -> str:
    """The end of the range and where pain starts; empty without."""
    if trial.onset_deg is None:
        return "" if trial.range_deg is None else f"{trial.range_deg}°"
    text, range_deg = language.texts.record, trial.range_deg
    end = None if range_deg is None else text.range_end.format(degrees=range_deg)
    return _joined(text.pain_start.format(degrees=trial.onset_deg), end)


def remarks(trial: Trial, language: LanguageData) -> str:
    """What has no column of its own: outcome, manner, position, instrument; of the last three,
    whether nobody said them and they are the practice's defaults."""
    said = {slot: named(slot, getattr(trial, slot), language) for slot in ("manner", "position")}
    instrument = named("instrument", trial.instrument, language)
    measured = language.texts.record.measured_with.format(instrument=instrument)
    said["instrument"] = measured if instrument else ""
    habits = (marked(trial, slot, text, language) for slot, text in said.items() if text)
    return _joined(named("outcome", trial.outcome, language), *habits)


def marked(content: AnyContent, slot: str, text: str, language: LanguageData) -> str:
    """The words for a slot, marked where nobody said it and it is the practice's default."""
    assumed = isinstance(content, Trial) and slot in content.by_default
    return language.texts.record.default.format(value=text) if assumed else text


def by_default(trial: Trial, language: LanguageData) -> str:
    """A sentence that names what nobody said of the trial; empty where all was said."""
    said = (named(slot, getattr(trial, slot), language) for slot in trial.by_default)
    assumed = _joined(*said)
    return language.texts.record.by_default.format(values=assumed) if assumed else ""


def sentence(content: AnyContent, language: LanguageData) -> str:
    """One record in one line."""
    text = language.texts.record
    match content:
        case Trial():
            pain = text.pain.format(pain=content.pain) if content.pain is not None else None
            feel = named("end_feel", content.end_feel, language)
            return _joined(
                movement(content, language),
                named("phase", content.phase, language),
                reach(content, language),
                pain,
                *qualities(content, language),
                text.end_feel.format(value=feel) if feel else None,
                remarks(content, language),
            )
        case Drill():
            drill = _joined(name_of(content, language), named("side", content.side, language))
            return _joined(drill, dose(content, language), by=": ")
        case Fault():
            return text.fault.format(name=name_of(content, language))
        case Cue():
            return text.cue.format(name=name_of(content, language))
        case Note():
            return text.note.format(text=content.text)


def _joined(*parts: str | None, by: str = ", ") -> str:
    return by.join(part for part in parts if part)
