"""What records keep, by the names that a language writes: joints, motions, phases, qualities."""

from voicelog.analysis.movement import Movement
from voicelog.grammar.language import LanguageData, Names

_SAID = ("phase", "manner", "position", "instrument")


def name_in(names: Names, value: str | None, language: LanguageData) -> str:
    """The name that records keep, where the language writes those; or else the usual way to say
    it. A value that the language no longer has is written as it is."""
    if value is None:
        return ""
    spoken = language.texts.record.names == "spoken" and value in names
    return names[value][0] if spoken else value


def named(slot: str, value: str | None, language: LanguageData) -> str:
    """A value of a slot that is chosen from a list, as it is written."""
    return name_in(getattr(language.slots, slot), value, language)


def named_anywhere(value: str, language: LanguageData) -> str:
    """A value of whichever slot says how a movement is tried; anything else as it is."""
    for slot in _SAID:
        if value in getattr(language.slots, slot):
            return named(slot, value, language)
    return value


def joint_name(joint: str | None, language: LanguageData) -> str:
    """A joint, as it is written."""
    forms = {name: data.spoken for name, data in language.joints.items()}
    return name_in(forms, joint, language)


def motion_name(motion: str | None, language: LanguageData) -> str:
    """A motion, as it is written."""
    return name_in(language.motions, motion, language)


def movement_words(movement: Movement, language: LanguageData) -> str:
    """Such as "Right shoulder internal rotation"."""
    side, joint, motion = movement
    parts = (
        named("side", side, language),
        joint_name(joint, language),
        motion_name(motion, language),
    )
    return opened(" ".join(part for part in parts if part))


def opened(text: str) -> str:
    """The text as a sentence opens."""
    return text[:1].upper() + text[1:]
