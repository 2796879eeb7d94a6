"""What a language says in writing: sentences with blanks in braces, each under its own name."""

from collections.abc import Iterator
from typing import Annotated, Literal

from pydantic import Field, model_validator

from voicelog.grammar.correction_texts import CorrectionTexts
from voicelog.grammar.desk_texts import DeskTexts
from voicelog.grammar.finding_texts import Counted, Filled, FindingTexts, TextSet
from voicelog.grammar.listening_texts import ListeningTexts
from voicelog.grammar.plurals import Category, Rule, category
from voicelog.grammar.screen_texts import ScreenTexts
from voicelog.grammar.table_texts import TableTexts

Line = Annotated[list[Filled], Field(min_length=1)]


class HomeTexts(TextSet):
    """Everything that a client's home sheet says by itself."""

    title: Filled
    day: Filled
    months: Annotated[list[Filled], Field(min_length=12, max_length=12)]
    keep: Filled
    do: Filled
    remember: Filled
    call: Filled
    practice: Filled
    phone: Filled
    stop_heading: Filled
    stop: Line
    emergency: Filled
    reminder: Filled
    no_drills: Filled
    no_dose: Filled
    how_often: Filled
    """Stands before a line to write on: how often is not dictated."""
    """Followed by a line to write on."""
    on_side: dict[str, Filled]
    """A drill with its side, by the side."""
    sets: Counted
    reps: Counted
    seconds: Counted
    sets_of_reps: Filled
    dose: Filled
    hold: Filled
    lower: Filled
    pause: Filled
    lift: Filled
    effort: Filled


class RecordTexts(TextSet):
    """A record in one line, and its parts."""

    names: Literal["kept", "spoken"]
    """Whether joints, phases, drills and the like are written by the names that records keep, or
    by the usual way to say them."""
    pain: Filled
    range_end: Filled
    pain_start: Filled
    end_feel: Filled
    measured_with: Filled
    default: Filled
    by_default: Filled
    sets: Counted
    reps: Counted
    sets_of_reps: Filled
    hold: Filled
    tempo: Filled
    band: Filled
    effort: Filled
    plane: Filled
    direction: Filled
    fault: Filled
    cue: Filled
    note: Filled


class NoteTexts(TextSet):
    """The frame of a note: headings, columns, and who affirmed what."""

    title: Filled
    sitting: Filled
    sitting_open: Filled
    screen: Filled
    subjective: Filled
    objective: Filled
    assessment: Filled
    plan: Filled
    columns: Annotated[list[Filled], Field(min_length=8, max_length=8)]
    no_trials: Filled
    faults: Filled
    drills: Filled
    cues: Filled
    compared: Filled
    compared_columns: Annotated[list[Filled], Field(min_length=5, max_length=5)]
    pain_change: Filled
    range_change: Filled
    onset_change: Filled
    usual_error: Filled
    eased: Filled
    to_mind: Filled
    over_visits: Filled
    table: Filled
    """What a reader of the screen is told at a table."""
    affirmed: Filled
    affirmed_by: dict[str, Filled]
    """By how it was affirmed."""
    unconfirmed: Filled
    not_confirmed: Filled
    not_confirmed_change: Filled
    unchecked: Filled
    caution: Filled


class PaperTexts(TextSet):
    """What stands on every printed page."""

    language: Filled
    """What the language calls itself."""
    foot: Filled
    lacks: Filled


class Texts(TextSet):
    """All that is written in a language, by what it is written on."""

    plurals: dict[Category, Rule]
    """Which form goes with which counts; "other" with all that are left."""
    record: RecordTexts
    listening: ListeningTexts
    corrections: CorrectionTexts
    desk: DeskTexts
    tables: TableTexts
    findings: FindingTexts
    screen: ScreenTexts
    note: NoteTexts
    paper: PaperTexts
    home: HomeTexts

    @model_validator(mode="after")
    def _each_count_has_its_forms(self) -> "Texts":
        wanted = {*self.plurals, "other"}
        for place, forms in _counts(self):
            if set(forms.root) != wanted:
                raise ValueError(f"{place} must have the forms {', '.join(sorted(wanted))}")
        return self

    def counted(self, forms: Counted, count: int | str) -> str:
        """The phrase for that many; for a number as it is written, such as "2.2" or "1.0", whose
        decimals make it none of the whole ones."""
        whole = isinstance(count, int) or count.isdecimal()
        form = category(self.plurals, int(count)) if whole else "other"
        return forms.root[form].format(count=count)


def _counts(texts: TextSet, place: str = "") -> Iterator[tuple[str, Counted]]:
    """Every phrase with a count, and where it stands."""
    for name in type(texts).model_fields:
        value, here = getattr(texts, name), f"{place} / {name}" if place else name
        if isinstance(value, Counted):
            yield here, value
        elif isinstance(value, dict):
            yield from ((f"{here} / {k}", v) for k, v in value.items() if isinstance(v, Counted))
        elif isinstance(value, TextSet):
            yield from _counts(value, here)
