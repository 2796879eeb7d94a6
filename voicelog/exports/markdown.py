"""A visit as a note to read and to file: CommonMark, with tables as most readers know them."""

import re
from collections import Counter
from collections.abc import Iterable

from voicelog.exports import wording
from voicelog.exports.base import CAUTION, VisitRecords
from voicelog.records.content import Cue, Drill, Fault, Note, Trial

SUFFIX = ".md"

_TRIAL_COLUMNS = ("Movement", "Phase", "Range", "Pain 0-10", "Quality", "End feel", "Remarks")


def render(visit: VisitRecords) -> str:
    """The note, in the order of the trade; a part with nothing to say is left out."""
    parts = (
        _heading(visit),
        _trials(visit),
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
            f"# Visit of {_plain(sitting.client)}, {start.date().isoformat()}",
            "",
            f"Visit {_plain(sitting.visit_id)}, {start:%H:%M}{until} ({start.tzname()})",
        )
    )


def _trials(visit: VisitRecords) -> str:
    trials = [e.content for e in visit.records if isinstance(e.content, Trial)]
    if not trials:
        return "## Objective\n\nNo trials recorded."
    rows = (_TRIAL_COLUMNS, ("---",) * len(_TRIAL_COLUMNS), *map(_trial_row, trials))
    return "## Objective\n\n" + "\n".join(f"| {' | '.join(row)} |" for row in rows)


def _trial_row(trial: Trial) -> tuple[str, ...]:
    cells = (
        wording.movement(trial),
        trial.phase or "",
        wording.reach(trial),
        "" if trial.pain is None else str(trial.pain),
        ", ".join(trial.quality),
        trial.end_feel or "",
        wording.remarks(trial),
    )
    return tuple(_plain(cell) for cell in cells)


def _drills(visit: VisitRecords) -> str:
    drills = (e.content for e in visit.records if isinstance(e.content, Drill))
    return _listed("## Drills", (_plain(wording.sentence(drill)) for drill in drills))


def _faults_and_cues(visit: VisitRecords) -> str:
    said = (e.content for e in visit.records if isinstance(e.content, Fault | Cue))
    return _listed("## Faults and cues", (_plain(wording.sentence(content)) for content in said))


def _notes(visit: VisitRecords) -> str:
    notes = (e.content for e in visit.records if isinstance(e.content, Note))
    return _listed(
        "## Notes",
        (_plain(n.text) + ("" if n.checked else " (not checked against its sound)") for n in notes),
    )


def _affirmed(visit: VisitRecords) -> str:
    hands = Counter((e.by, e.affirmed.by) for e in visit.records if e.affirmed)
    return _listed(
        "## Affirmed",
        (f"{_plain(by)}: {count} {wording.HAND[how]}" for (by, how), count in hands.items()),
    )


def _unconfirmed(visit: VisitRecords) -> str:
    standing = {entry.entry_id for entry in visit.records}
    return _listed(
        "## Not confirmed, no part of the record",
        (
            "**not confirmed**"
            + (" (a change to a record above)" if entry.entry_id in standing else "")
            + f": {_plain(wording.sentence(entry.content))}"
            for entry in visit.unconfirmed
        ),
    )


def _listed(heading: str, items: Iterable[str]) -> str:
    lines = [f"- {item}" for item in items]
    return "\n".join((heading, "", *lines)) if lines else ""


def _plain(text: str) -> str:
    """The text on one line, with everything escaped that Markdown would read as markup.

    Any ASCII punctuation may be escaped (CommonMark 0.31, section 2.4). Beyond the signs that
    mean something anywhere, that is what makes a list or a heading at the start of an item.
    """
    line = " ".join("".join(c if c.isprintable() else " " for c in text).split())
    line = re.sub(r"([\\`*_{}\[\]<>#|~&!])", r"\\\1", line)
    return re.sub(r"^(\d+(?=[.)])|(?=[-+=]))", r"\1\\", line)
