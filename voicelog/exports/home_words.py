"""What the client takes home, in plain words: drills, dose, cues, when to stop, whom to call.

The reasons to stop and the emergencies are standard teaching of exercise and manual therapy, from
memory, in words for people outside the trade; `reference/stops.toml` has them for practitioners.
"""

from dataclasses import dataclass

from voicelog.exports.base import VisitRecords
from voicelog.records.content import Cue, Drill

TITLE = "Your exercises"
KEEP = "Move slowly. Stay below the point where it starts to hurt."
STOP_HEADING = "Stop, and call before you go on, if you notice"
STOP = (
    "sharp, stabbing or electric pain, or pain that is suddenly new",
    "pain 2 or more points higher than usual, on a scale of 0 to 10",
    "numbness, tingling, weakness, or pain that spreads",
    "swelling, throbbing, or a change of colour or warmth",
    "slipping, giving way, catching or locking",
    "dizziness, nausea or unusual shortness of breath",
    "pain that stays up after rest, or is worse the next day",
)
EMERGENCY = (
    "Chest pain, fainting, sudden trouble seeing or speaking, a cold or pale limb, numbness "
    "between the legs, or a new change of bladder or bowel: call your local emergency number "
    "at once."
)
REMINDER = (
    "This sheet reminds you of what you were shown. It does not replace the advice of a licensed "
    "professional. When in doubt, leave it out and ask."
)
NO_DRILLS = "No drills were recorded in this visit."
NO_DOSE = "How much:"
"""Followed by a line to write on."""


@dataclass(frozen=True, slots=True)
class HomeDrill:
    """A drill by its name, and its dose as short sentences; none when no dose was said."""

    name: str
    dose: tuple[str, ...]


def day(visit: VisitRecords) -> str:
    """Such as: from your visit on 2 March 2026."""
    at = visit.visit.started_at
    return f"From your visit on {at.day} {at:%B %Y}"


def drills(visit: VisitRecords) -> tuple[HomeDrill, ...]:
    """The drills of the visit in the order they were given; the same drill and dose once."""
    found = (e.content for e in visit.records if isinstance(e.content, Drill))
    return tuple(dict.fromkeys(HomeDrill(_name(drill), _dose(drill)) for drill in found))


def cues(visit: VisitRecords) -> tuple[str, ...]:
    """What to keep in mind while doing them."""
    found = (e.content.name for e in visit.records if isinstance(e.content, Cue))
    return tuple(dict.fromkeys(_sentence(name) for name in found))


def _name(drill: Drill) -> str:
    side = {"left": ", left side", "right": ", right side", "both": ", both sides", None: ""}
    return _sentence(drill.name) + side[drill.side]


def _dose(drill: Drill) -> tuple[str, ...]:
    reps = None if drill.reps is None else _counted(drill.reps, "repetition")
    sets = None if drill.sets is None else _counted(drill.sets, "set")
    amount = f"{sets} of {reps}" if sets and reps else sets or reps
    told = (
        f"{amount}." if amount else "",
        f"Hold {_counted(drill.hold_s, 'second')}." if drill.hold_s is not None else "",
        _tempo(drill.tempo) if drill.tempo else "",
        f"{_sentence(drill.band)} band." if drill.band else "",
        f"Effort {drill.effort} out of 10." if drill.effort is not None else "",
    )
    return tuple(each for each in told if each)


def _tempo(tempo: str) -> str:
    """In plain words, such as: Lower for 3 seconds, wait 1, lift for 1, wait 0."""
    lower, low, lift, high = tempo.split("-")
    return f"Lower for {_counted(int(lower), 'second')}, wait {low}, lift for {lift}, wait {high}."


def _counted(count: int, thing: str) -> str:
    return f"{count} {thing}" if count == 1 else f"{count} {thing}s"


def _sentence(words: str) -> str:
    return words[:1].upper() + words[1:]
