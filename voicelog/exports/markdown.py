"""A visit as a note to read and to file: CommonMark, with tables as most readers know them."""

from collections import Counter

from voicelog.exports import wording
from voicelog.exports.base import CAUTION, VisitRecords
from voicelog.exports.markup import listed, plain, table
from voicelog.exports.note_findings import assessment_part, comparisons_part, screen_part
from voicelog.records.content import Cue, Drill, Fault, Note, Trial

SUFFIX = ".md"

_TRIAL_COLUMNS = (
    "No.",
    "Movement",
    "Phase",
    "Range",
    "Pain 0-10",
    "Quality",
    "End feel",
    "Remarks",
)


def render(visit: VisitRecords) -> str:
    """The note as one text."""
    return "\n\n".join(sections(visit).values()) + "\n"


def sections(visit: VisitRecords) -> dict[str, str]:
    """The parts of the note by name, in the order of the trade: subjective, objective, assessment,
    plan. A part with nothing to say is left out."""
    records = visit.records
    notes = (e.content for e in records if isinstance(e.content, Note))
    faults = (e.content.name for e in records if isinstance(e.content, Fault))
    drills = (wording.sentence(e.content) for e in records if isinstance(e.content, Drill))
    cues = (e.content.name for e in records if isinstance(e.content, Cue))
    parts = {
        "head": _heading(visit),
        "screen": screen_part(visit),
        "subjective": listed("## Subjective", map(_note, notes)),
        "objective": _under(
            "## Objective",
            _trials(visit),
            comparisons_part(visit),
            listed("### Faults seen", map(plain, faults)),
        ),
        "assessment": _under("## Assessment", assessment_part(visit)),
        "plan": _under(
            "## Plan",
            listed("### Drills", map(plain, drills)),
            listed("### Cues", map(plain, cues)),
        ),
        "affirmed": _affirmed(visit),
        "unconfirmed": _unconfirmed(visit),
        "caution": f"---\n\n*{CAUTION}*",
    }
    return {name: part for name, part in parts.items() if part}


def _under(heading: str, *parts: str) -> str:
    told = [part for part in parts if part]
    return "\n\n".join((heading, *told)) if told else ""


def _note(note: Note) -> str:
    return plain(note.text) + ("" if note.checked else " (not checked against its sound)")


def _heading(visit: VisitRecords) -> str:
    sitting = visit.visit
    start = sitting.started_at
    until = f" to {sitting.ended_at:%H:%M}" if sitting.ended_at else ", not ended"
    return "\n".join(
        (
            f"# Visit of {plain(sitting.client)}, {start.date().isoformat()}",
            "",
            f"Visit {plain(sitting.visit_id)}, {start:%H:%M}{until} ({start.tzname()})",
        )
    )


def _trials(visit: VisitRecords) -> str:
    trials = [e.content for e in visit.records if isinstance(e.content, Trial)]
    if not trials:
        return "No trials recorded."
    body = (_trial_row(number, trial) for number, trial in enumerate(trials, start=1))
    return table(_TRIAL_COLUMNS, body)


def _trial_row(number: int, trial: Trial) -> tuple[str, ...]:
    cells = (
        str(number),
        wording.movement(trial),
        trial.phase or "",
        wording.reach(trial),
        "" if trial.pain is None else str(trial.pain),
        ", ".join(trial.quality),
        trial.end_feel or "",
        wording.remarks(trial),
    )
    return tuple(plain(cell) for cell in cells)


def _affirmed(visit: VisitRecords) -> str:
    hands = Counter((e.by, e.affirmed.by) for e in visit.records if e.affirmed)
    return listed(
        "## Affirmed",
        (f"{plain(by)}: {count} {wording.HAND[how]}" for (by, how), count in hands.items()),
    )


def _unconfirmed(visit: VisitRecords) -> str:
    standing = {entry.entry_id for entry in visit.records}
    return listed(
        "## Not confirmed, no part of the record",
        (
            "**not confirmed**"
            + (" (a change to a record above)" if entry.entry_id in standing else "")
            + f": {plain(wording.sentence(entry.content))}"
            for entry in visit.unconfirmed
        ),
    )
