"""How much of a drill was given, in the words of the trade."""

from voicelog.grammar.language import LanguageData
from voicelog.records.content import Drill
from voicelog.telling.names import named


def dose(drill: Drill, language: LanguageData) -> str:
    """Such as: 3 sets of 8, hold 5 s, tempo 3-1-1-0, light band, effort 4/10, with gap."""
    text = language.texts.record
    sets = "" if drill.sets is None else language.texts.counted(text.sets, drill.sets)
    reps = "" if drill.reps is None else language.texts.counted(text.reps, drill.reps)
    both = text.sets_of_reps.format(sets=sets, count=drill.reps)
    slots = {"band": text.band, "plane": text.plane, "direction": text.direction}
    said = {
        slot: sentence.format(value=named(slot, getattr(drill, slot), language))
        for slot, sentence in slots.items()
        if getattr(drill, slot)
    }
    parts = (
        both if sets and reps else sets or reps,
        text.hold.format(seconds=drill.hold_s) if drill.hold_s is not None else None,
        text.tempo.format(tempo=drill.tempo) if drill.tempo else None,
        said.get("band"),
        text.effort.format(effort=drill.effort) if drill.effort is not None else None,
        said.get("plane"),
        said.get("direction"),
    )
    return ", ".join(part for part in parts if part)
