"""A visit as a note to read and to file: CommonMark, with tables as most readers know them."""

from collections import Counter

from voicelog.exports import wording
from voicelog.exports.base import VisitRecords
from voicelog.exports.markup import listed, plain, table
from voicelog.exports.note_findings import assessment_part, comparisons_part, screen_part
from voicelog.grammar.language import LanguageData
from voicelog.grammar.texts import NoteTexts
from voicelog.records.content import Cue, Drill, Fault, Note, Trial
from voicelog.telling.names import named

SUFFIX = ".md"


def render(visit: VisitRecords) -> str:
    """The note as one text."""
    return "\n\n".join(sections(visit).values()) + "\n"


def sections(visit: VisitRecords) -> dict[str, str]:
    """The parts of the note by name, in the order of the trade: subjective, objective, assessment,
    plan. A part with nothing to say is left out."""
    records, language, text = visit.records, visit.language, visit.language.texts.note
    notes = (e.content for e in records if isinstance(e.content, Note))
    faults = (wording.name_of(e.content, language) for e in records if isinstance(e.content, Fault))
    drills = (
        wording.sentence(e.content, language) for e in records if isinstance(e.content, Drill)
    )
    cues = (wording.name_of(e.content, language) for e in records if isinstance(e.content, Cue))
    parts = {
        "head": _heading(visit),
        "screen": screen_part(visit),
        "subjective": listed(f"## {text.subjective}", (_note(note, text) for note in notes)),
        "objective": _under(
            f"## {text.objective}",
            _trials(visit),
            comparisons_part(visit),
            listed(f"### {text.faults}", map(plain, faults)),
        ),
        "assessment": _under(f"## {text.assessment}", assessment_part(visit)),
        "plan": _under(
            f"## {text.plan}",
            listed(f"### {text.drills}", map(plain, drills)),
            listed(f"### {text.cues}", map(plain, cues)),
        ),
        "affirmed": _affirmed(visit),
        "unconfirmed": _unconfirmed(visit),
        "caution": f"---\n\n*{text.caution}*",
    }
    return {name: part for name, part in parts.items() if part}


def _under(heading: str, *parts: str) -> str:
    told = [part for part in parts if part]
    return "\n\n".join((heading, *told)) if told else ""


def _note(note: Note, text: NoteTexts) -> str:
    told = plain(note.text)
    return told if note.checked else text.unchecked.format(text=told)


def title(visit: VisitRecords) -> str:
    """Whose visit it is, and of what day."""
    sitting = visit.visit
    date = sitting.started_at.date().isoformat()
    return visit.language.texts.note.title.format(client=sitting.client, date=date)


def _heading(visit: VisitRecords) -> str:
    sitting, text = visit.visit, visit.language.texts.note
    start, end = sitting.started_at, sitting.ended_at
    line = (text.sitting if end else text.sitting_open).format(
        visit=plain(sitting.visit_id),
        start=f"{start:%H:%M}",
        end=f"{end:%H:%M}" if end else "",
        zone=start.tzname(),
    )
    return f"# {plain(title(visit))}\n\n{line}"


def _trials(visit: VisitRecords) -> str:
    trials = [e.content for e in visit.records if isinstance(e.content, Trial)]
    if not trials:
        return visit.language.texts.note.no_trials
    body = (
        _trial_row(number, trial, visit.language) for number, trial in enumerate(trials, start=1)
    )
    return table(tuple(visit.language.texts.note.columns), body)


def _trial_row(number: int, trial: Trial, language: LanguageData) -> tuple[str, ...]:
    cells = (
        str(number),
        wording.movement(trial, language),
        named("phase", trial.phase, language),
        wording.reach(trial, language),
        "" if trial.pain is None else str(trial.pain),
        ", ".join(wording.qualities(trial, language)),
        named("end_feel", trial.end_feel, language),
        wording.remarks(trial, language),
    )
    return tuple(plain(cell) for cell in cells)


def _affirmed(visit: VisitRecords) -> str:
    text = visit.language.texts.note
    hands = Counter((e.by, e.affirmed.by) for e in visit.records if e.affirmed)
    told = (
        text.affirmed_by[how].format(by=plain(by), count=count)
        for (by, how), count in hands.items()
    )
    return listed(f"## {text.affirmed}", told)


def _unconfirmed(visit: VisitRecords) -> str:
    text = visit.language.texts.note
    standing = {entry.entry_id for entry in visit.records}
    told = (
        (text.not_confirmed_change if entry.entry_id in standing else text.not_confirmed).format(
            record=plain(wording.sentence(entry.content, visit.language))
        )
        for entry in visit.unconfirmed
    )
    return listed(f"## {text.unconfirmed}", told)
