"""A visit as a note to read and to file: CommonMark, with tables as most readers know them."""

from collections import Counter

from voicelog.exports import wording
from voicelog.exports.base import CAUTION, VisitRecords
from voicelog.exports.markup import listed, plain, table
from voicelog.exports.note_findings import findings_part, screen_part
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
    """The note, in the order of the trade; a part with nothing to say is left out."""
    parts = (
        _heading(visit),
        screen_part(visit),
        _trials(visit),
        findings_part(visit),
        _drills(visit),
        _faults_and_cues(visit),
        _notes(visit),
        _affirmed(visit),
        _unconfirmed(visit),
        f"---\n\n*{CAUTION}*",
    )
    return "\n\n".join(part for part in parts if part) + "\n"


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
        return "## Objective\n\nNo trials recorded."
    body = (_trial_row(number, trial) for number, trial in enumerate(trials, start=1))
    return "## Objective\n\n" + table(_TRIAL_COLUMNS, body)


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


def _drills(visit: VisitRecords) -> str:
    drills = (e.content for e in visit.records if isinstance(e.content, Drill))
    return listed("## Drills", (plain(wording.sentence(drill)) for drill in drills))


def _faults_and_cues(visit: VisitRecords) -> str:
    said = (e.content for e in visit.records if isinstance(e.content, Fault | Cue))
    return listed("## Faults and cues", (plain(wording.sentence(content)) for content in said))


def _notes(visit: VisitRecords) -> str:
    notes = (e.content for e in visit.records if isinstance(e.content, Note))
    return listed(
        "## Notes",
        (plain(n.text) + ("" if n.checked else " (not checked against its sound)") for n in notes),
    )


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
