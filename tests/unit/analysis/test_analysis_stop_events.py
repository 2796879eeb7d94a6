"""What was done after a stop event is the notes before testing went on, by voice or keyboard."""

from collections.abc import Callable

from voicelog.analysis.comparison import Comparer
from voicelog.analysis.sift import Occasion
from voicelog.analysis.stop_events import StopEvent, stop_events
from voicelog.records.content import Note
from voicelog.records.entry import Entry

Make = Callable[..., Entry]


def events(comparer: Comparer, occasion: Occasion, *entries: Entry) -> tuple[StopEvent, ...]:
    return stop_events(comparer.visit(occasion, entries), entries)


def test_the_notes_before_the_next_trial_are_the_action_taken(
    trial: Make, entry: Make, comparer: Comparer, occasion: Occasion
) -> None:
    found = events(
        comparer,
        occasion,
        entry("before", 0, Note(text="slept badly")),
        trial("base", 1, "baseline", pain=4),
        trial("gap", 2, "gap", pain=7),
        entry("done", 3, Note(text="stopped, sat down")),
        entry("then", 4, Note(text="settled in two minutes")),
        trial("press", 5, "compression", pain=4),
        entry("later", 6, Note(text="came by bus")),
    )
    assert [(event.trial, event.noted) for event in found] == [("gap", ("done", "then"))]
    assert [stop.code for stop in found[0].stops] == ["STOP_PAIN_RISE"]


def test_a_stop_event_without_a_note_keeps_an_empty_place(
    trial: Make, entry: Make, comparer: Comparer, occasion: Occasion
) -> None:
    """In a baseline too, and a trial that follows at once takes the note for itself."""
    found = events(
        comparer,
        occasion,
        trial("base", 1, "baseline", pain=4, quality=("numb",)),
        trial("gap", 2, "gap", pain=6),
        entry("done", 3, Note(text="laid down")),
    )
    assert [(event.trial, event.noted) for event in found] == [("base", ()), ("gap", ("done",))]


def test_without_a_stop_there_is_no_event(
    trial: Make, entry: Make, comparer: Comparer, occasion: Occasion
) -> None:
    quiet = trial("base", 1, "baseline", pain=4), entry("n", 2, Note(text="left the house"))
    assert events(comparer, occasion, *quiet) == ()


def test_a_note_typed_beside_the_trial_later_counts_for_it(
    trial: Make, entry: Make, comparer: Comparer, occasion: Occasion
) -> None:
    """It has the very time of the trial, whatever its name."""
    found = events(
        comparer,
        occasion,
        trial("base", 1, "baseline", pain=4),
        trial("gap", 2, "gap", pain=7),
        entry("a note", 2, Note(text="sat down")),
        trial("press", 5, "compression", pain=4),
    )
    assert [(event.trial, event.noted) for event in found] == [("gap", ("a note",))]
