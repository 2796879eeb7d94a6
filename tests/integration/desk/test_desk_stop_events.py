"""What was done after a stop event, typed at the desk."""

from typing import Any

from voicelog.records.content import Note

VISIT = "/visits/2026-03-02-1"
QUESTION = "What was done after the stop event"


def test_a_stop_event_asks_at_the_desk_what_was_done_until_a_note_says_it(desk: Any) -> None:
    other = {"seen": 2, "sure": "yes", "why": "of another day"}
    desk.post(f"{VISIT}/entries/note/withdraw", other)
    assert QUESTION not in desk.get(VISIT).text
    desk.affirm(f"{VISIT}/entries/gap/type", {"line": "sharp", "seen": 2})
    page = desk.get(VISIT).text
    assert page.count(QUESTION) == 1
    assert "what was done is not on record" in page
    seen = desk.history("gap")[-1].version
    form = {"line": "note: stopped, sat down", "seen": seen}
    desk.affirm(f"{VISIT}/entries/gap/record", form)
    page = desk.get(VISIT).text
    assert QUESTION not in page
    assert "what was done stands in the note of" in page
    assert "stopped, sat down" in page
    store = desk.house.store()
    try:
        notes = [
            e
            for e in store.records("2026-03-02-1")
            if e.content == Note(text="stopped, sat down", checked=True)
        ]
        assert len(notes) == 1
        assert store.clips(notes[0].entry_id) == ()
    finally:
        store.close()
