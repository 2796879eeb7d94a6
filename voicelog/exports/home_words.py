"""What the client takes home, in plain words of the practice's language: drills, dose, cues."""

from dataclasses import dataclass

from voicelog.exports.base import VisitRecords
from voicelog.grammar.language import LanguageData, Names
from voicelog.records.content import Cue, Drill


@dataclass(frozen=True, slots=True)
class HomeDrill:
    """A drill by its name, and its dose as short sentences; none when no dose was said."""

    name: str
    dose: tuple[str, ...]


def day(visit: VisitRecords) -> str:
    """Such as: from your visit on 2 March 2026."""
    at, home = visit.visit.started_at, visit.language.texts.home
    return home.day.format(day=at.day, month=home.months[at.month - 1], year=at.year)


def drills(visit: VisitRecords) -> tuple[HomeDrill, ...]:
    """The drills of the visit in the order they were given; the same drill and dose once."""
    found = (e.content for e in visit.records if isinstance(e.content, Drill))
    language = visit.language
    told = (HomeDrill(_name(drill, language), _dose(drill, language)) for drill in found)
    return tuple(dict.fromkeys(told))


def cues(visit: VisitRecords) -> tuple[str, ...]:
    """What to keep in mind while doing them."""
    found = (e.content.name for e in visit.records if isinstance(e.content, Cue))
    return tuple(dict.fromkeys(_named(visit.language.cues, name) for name in found))


def _name(drill: Drill, language: LanguageData) -> str:
    name = _named(language.drills, drill.name)
    return language.texts.home.on_side[drill.side].format(drill=name) if drill.side else name


def _dose(drill: Drill, language: LanguageData) -> tuple[str, ...]:
    home = language.texts.home
    reps = None if drill.reps is None else language.texts.counted(home.reps, drill.reps)
    sets = None if drill.sets is None else language.texts.counted(home.sets, drill.sets)
    amount = home.sets_of_reps.format(sets=sets, reps=reps) if sets and reps else sets or reps
    hold = None if drill.hold_s is None else language.texts.counted(home.seconds, drill.hold_s)
    told = (
        home.dose.format(amount=amount) if amount else "",
        home.hold.format(seconds=hold) if hold else "",
        _tempo(drill.tempo, language) if drill.tempo else "",
        home.dose.format(amount=_named(language.slots.band, drill.band)) if drill.band else "",
        home.effort.format(effort=drill.effort) if drill.effort is not None else "",
    )
    return tuple(each for each in told if each)


def _tempo(tempo: str, language: LanguageData) -> str:
    """In plain words, such as: Lower for 3 seconds, wait 1 second, lift for 1 second. A step of no
    seconds is none that the client takes."""
    home = language.texts.home
    steps = (home.lower, home.pause, home.lift, home.pause)
    told = (
        step.format(seconds=language.texts.counted(home.seconds, int(count)))
        for step, count in zip(steps, tempo.split("-"), strict=True)
        if int(count)
    )
    listed = ", ".join(told)
    return home.dose.format(amount=listed[:1].upper() + listed[1:]) if listed else ""


def _named(names: Names, value: str) -> str:
    """The usual words for a name, opening a sentence; a name no longer known stands for itself."""
    words = names[value][0] if value in names else value
    return words[:1].upper() + words[1:]
