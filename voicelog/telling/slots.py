"""The slots of a record and their values, for people."""

from collections.abc import Iterable

from voicelog.grammar.language import LanguageData, Slots
from voicelog.grammar.own_words import TABLES
from voicelog.telling.names import joint_name, motion_name, name_in, named

NONE = "–"


def label(slot: str, language: LanguageData) -> str:
    """What a slot is called, with its unit or limits."""
    return language.texts.corrections.slots[slot]


def short_label(slot: str, language: LanguageData) -> str:
    """What a slot is called beside its value, inside a sentence."""
    return label(slot, language).split(",")[0].lower()


def labels(slots: Iterable[str], language: LanguageData) -> str:
    """Several slots in one line."""
    return ", ".join(label(slot, language).lower() for slot in slots)


def value_words(slot: str, value: object, language: LanguageData, kind: str = "") -> str:
    """A value of a slot of that kind of record; a dash for none."""
    text = language.texts.corrections
    if isinstance(value, bool):
        return text.yes if value else text.no
    if isinstance(value, tuple | list):
        return ", ".join(value_words(slot, each, language, kind) for each in value) or NONE
    if value in (None, ""):
        return NONE
    return _word(slot, str(value), language, kind)


def _word(slot: str, value: str, language: LanguageData, kind: str) -> str:
    names = {"joint": joint_name, "motion": motion_name}
    if slot in names:
        return names[slot](value, language)
    if slot in Slots.model_fields:
        return named(slot, value, language)
    own = kind if slot == "name" else slot
    if own in TABLES:
        return name_in(getattr(language, TABLES[own]), value, language)
    if slot == "kind":
        return language.texts.corrections.kinds[value]
    return short_label(value, language) if slot == "by_default" else value
