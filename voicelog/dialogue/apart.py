"""How single values are read back, to see whether the ear can tell two of them apart."""

from voicelog.dialogue import draft as drafts
from voicelog.dialogue import prompts
from voicelog.grammar.language import LanguageData
from voicelog.grammar.parse import MANY, SlotValue
from voicelog.grammar.places import Meaning
from voicelog.records.content import AnyContent, Cue, Drill, Fault, Trial


def values_read_back(language: LanguageData, meaning: Meaning) -> str:
    """The values of a meaning as they are read back; nothing for commands and words of opening."""
    slots: dict[str, SlotValue] = {
        slot: (str(value),) if slot in MANY else value for slot, value in meaning
    }
    kind = slots.pop("kind", None)
    name = next((str(slots[s]) for s in ("name", "drill_name") if s in slots), None)
    if kind == "command" or "command" in slots or not slots:
        return ""
    if name is not None and name in language.faults:
        return prompts.read_back(language, Fault(name=name))
    if name is not None and name in language.cues:
        return prompts.read_back(language, Cue(name=name))
    content: AnyContent = Trial()
    if name in language.drills or not drafts.fits(content, slots):
        content = Drill(name=name or next(iter(language.drills)))
    return prompts.read_back(language, drafts.change(content, slots, language))
