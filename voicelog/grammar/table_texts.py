"""What a language says around the tables of the terminal: headings, captions, short cells."""

from typing import Annotated

from pydantic import Field

from voicelog.grammar.correction_texts import Refusal
from voicelog.grammar.finding_texts import Counted, Filled, TextSet, for_each_of

Three = Annotated[list[str], Field(min_length=3, max_length=3)]
Four = Annotated[list[str], Field(min_length=4, max_length=4)]
Five = Annotated[list[str], Field(min_length=5, max_length=5)]
Six = Annotated[list[str], Field(min_length=6, max_length=6)]


class Cells(TextSet):
    """Values as they stand in a cell."""

    onset: Filled
    onset_change: Filled
    pain: Filled
    pain_change: Filled
    stop: Filled
    stop_told: Filled
    no_numbers: Filled


class Headings(TextSet):
    """What stands over a list of sentences."""

    after_stop: Filled
    about: Filled
    eased: Filled
    usual_error: Filled
    to_mind: Filled
    sides: Filled
    ranges: Filled
    drills: Filled
    activities: Filled
    ratings: Filled


class CompareTable(TextSet):
    """Each trial of a visit beside its baseline, and published ranges."""

    sitting: Filled
    columns: Six
    no_range: Filled


class ProgressTable(TextSet):
    """One client over the visits."""

    visits: Counted
    no_trial: Filled
    columns: Six
    not_enough: Filled
    one_visit: Filled
    against: Five
    first_visit: Filled
    visit_before: Filled
    no_match: Filled
    average: Filled
    first_to_last: Filled
    put_on_file: Filled
    new_client: Filled
    drawn: Filled


class MarksTable(TextSet):
    """A fall of pain beside published marks."""

    title: Filled
    columns: Five
    reached: Filled
    below: Filled
    from_0: Filled


class CaseloadTable(TextSet):
    """How often each direction eased."""

    empty: Filled
    title: Filled
    counted: Filled
    columns: Three
    all_joints: Filled
    enough: Filled
    one_way: Filled
    none_yet: Filled
    share: Filled
    signs: Filled
    rule: Filled
    care: Filled


class VisitsTable(TextSet):
    """The visits that were recorded."""

    columns: Five
    not_ended: Filled
    none_yet: Filled
    none_of: Filled


class FindTable(TextSet):
    """Records found by their words."""

    columns: Four
    none: Filled


class ScreenTable(TextSet):
    """The safety screen, typed and shown."""

    title: Filled
    questions: Filled
    keys: Filled
    joints: Filled
    no_joints: Filled
    no_joint: Filled
    keep: Filled
    ask_it: Filled
    no_flag: Filled
    columns: Three
    clearance: Filled
    on_file: Filled
    broke_off: Refusal


class Handing(TextSet):
    """What the terminal says beside the desk and an export."""

    desk_open: Filled
    desk_closed: Filled
    written: Filled
    described: Filled
    lacking: Filled
    """What the font of a PDF cannot show, and the format that shows it."""
    left_the_safe: Filled
    renamed: Filled
    """What a pseudonym leaves as it was."""


class RecordsTable(TextSet):
    """The records of the visit that just ended."""

    title: Filled
    columns: Six


REVIEW_KEYS = (
    "Enter, n", "g 3", "l", "p", "1 to 9", "shorthand", "a", "x", "d", "u", "k", "= TEXT", "r LINE",
    "q",
)  # fmt: skip
"""What can be entered in a review."""
REVIEW_STATES = ("discarded", "taken out", "not affirmed", "unheard", "unsure", "saved")
REVIEW_QUESTIONS = ("discard", "take out", "unaffirm", "save")
REVIEW_DONE = ("saved", "saved anew", "discarded", "taken out", "waits")


class ReviewTexts(TextSet):
    """A visit that is put right line by line."""

    what: Filled
    to_do: Filled
    heard: Filled
    unsure_slot: Filled
    missing: Filled
    sound: Filled
    no_sound: Filled
    found: Filled
    found_or: str
    doubtful: Filled
    unread: Filled
    nothing: Filled
    still_missing: Filled
    a_note: Filled
    go: Filled
    left: Filled
    not_yet: Filled
    replaced: Filled
    ended: Filled
    saved_already: Filled
    say_why: Filled
    only_note_compared: Filled
    only_note_text: Filled
    states: Annotated[dict[str, Filled], for_each_of(*REVIEW_STATES)]
    questions: Annotated[dict[str, Filled], for_each_of(*REVIEW_QUESTIONS)]
    done: Annotated[dict[str, Filled], for_each_of(*REVIEW_DONE)]
    entered: Annotated[
        dict[str, Filled], for_each_of("Enter, n", "1 to 9", "shorthand", "= TEXT", "r LINE")
    ]
    """How a key is written where it is no letter of its own."""
    keys: Annotated[dict[str, Filled], for_each_of(*REVIEW_KEYS)]


class TableTexts(TextSet):
    """The tables, by the command that shows them."""

    cells: Cells
    headings: Headings
    compare: CompareTable
    progress: ProgressTable
    marks: MarksTable
    caseload: CaseloadTable
    visits: VisitsTable
    find: FindTable
    screen: ScreenTable
    handing: Handing
    records: RecordsTable
    review: ReviewTexts
