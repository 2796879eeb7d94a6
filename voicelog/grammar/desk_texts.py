"""What a language says on the pages of the desk, by page and by part of a page."""

from typing import Annotated

from voicelog.grammar.finding_texts import Counted, Filled, TextSet, for_each_of

KEYS = ("move", "next", "play", "seek", "pick", "type", "lists", "affirm", "discard", "undo")
"""What a key does on the page of a visit."""
TOLD = ("dropped", "withdrawn", "waits", "saved", "changed")
"""What became of a change."""
REFUSED = ("403", "404", "405", "413", "421", "other")
"""Answers of HTTP (RFC 9110, 15.5) that a person can meet."""
ASKED = ("discard", "discard change", "unaffirm", "withdraw")


class Frame(TextSet):
    """What stands around every page."""

    title: Filled
    desk: Filled
    skip: Filled
    foot: Filled
    all_visits: Filled
    own_words: Filled
    lock: Filled


class Locked(TextSet):
    """The page of a desk that is closed to this window."""

    title: Filled
    told: Filled
    go_on: Filled


class Trouble(TextSet):
    """The page of what could not be done."""

    title: Filled
    heading: Filled
    go: Filled
    refused: Annotated[dict[str, Filled], for_each_of(*REFUSED)]


class Visits(TextSet):
    """The list of visits."""

    title: Filled
    client: Filled
    since: Filled
    until: Filled
    show: Filled
    show_all: Filled
    found: Counted
    page: Filled
    not_ended: Filled
    records: Counted
    waiting: Filled
    none_fits: Filled
    none_yet: Filled
    pages: Filled
    newer: Filled
    older: Filled


class VisitTexts(TextSet):
    """The page of a visit around its records."""

    title: Filled
    sitting: Filled
    sitting_open: Filled
    to_do: Filled
    nothing_to_do: Filled
    nothing_else: Filled
    keys: Filled
    keys_work: Filled
    does: Annotated[dict[str, Filled], for_each_of(*KEYS)]
    records: Filled
    empty: Filled
    gone: Filled
    numbers: Filled
    about: Filled
    pictures: Filled
    hand_over: Filled
    leaves: Filled
    with_open: Filled
    format_open: Filled
    told: Annotated[dict[str, Filled], for_each_of(*TOLD)]


class Card(TextSet):
    """One record: its state, its sound, its history, and what can be done with it."""

    discarded: Filled
    taken_out: Filled
    not_affirmed: Filled
    change: Filled
    saved: Filled
    unheard: Filled
    unsure: Filled
    heard_sure: Filled
    sure: Filled
    play: Filled
    stop: Filled
    unplayable: Filled
    unanswered: Filled
    sound_of: Filled
    seconds: Filled
    damaged: Filled
    no_sound: Filled
    heard: Filled
    cannot_affirm: Filled
    affirm: Filled
    right: Filled
    lists: Filled
    undo: Filled
    undo_affirm: Filled
    discard: Filled
    take_out: Filled
    take_back: Filled
    what_was_done: Filled
    history: Counted
    step: Filled


class Putting(TextSet):
    """The forms that put a record right."""

    picks: Filled
    type_it: Filled
    shorthand: Filled
    example: Filled
    look: Filled
    leave: Filled
    entered: Filled
    note_text: Filled
    compared: Filled
    save_text: Filled
    found: Filled
    found_told: Filled
    found_or: Filled
    found_record: Filled


class Preview(TextSet):
    """What would be saved, before it is."""

    heading: Filled
    doubtful: Filled
    unread: Filled
    nothing: Filled
    reads: Filled
    missing: Filled
    type_rest: Filled
    same: Filled
    look_twice: Filled
    why: Filled
    save: Filled
    slot: Filled
    before: Filled
    after: Filled


class Asked(TextSet):
    """A question before something goes."""

    headings: Annotated[dict[str, Filled], for_each_of("discard", "unaffirm", "withdraw")]
    told: Annotated[dict[str, Filled], for_each_of(*ASKED)]
    do: Annotated[dict[str, Filled], for_each_of("discard", "unaffirm", "withdraw")]
    why: Filled
    keep: Filled


class WordsTexts(TextSet):
    """The page of the practice's own words."""

    title: Filled
    about: Filled
    mistaken: Filled
    alike: Filled
    same: Filled
    anyway: Filled
    form: Filled
    kind: Filled
    name: Filled
    other: Filled
    add: Filled
    remove: Filled
    remove_one: Filled
    none: Filled


class DeskTexts(TextSet):
    """Every page of the desk."""

    frame: Frame
    locked: Locked
    trouble: Trouble
    visits: Visits
    visit: VisitTexts
    card: Card
    putting: Putting
    preview: Preview
    asked: Asked
    words: WordsTexts
