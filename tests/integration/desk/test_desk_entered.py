"""What was entered at the desk is not lost when it cannot be kept, and is kept as entered."""

import re
import time
from html import unescape
from typing import Any

import pytest

from voicelog.desk.door import Door
from voicelog.records.content import Note

VISIT = "2026-03-02-1"
ENTRIES = f"/visits/{VISIT}/entries"
HALF = {"side": "right", "movement": "shoulder | internal rotation", "pain": "5", "seen": 1}


def _card(page: str, entry_id: str) -> str:
    return page.split(f'id="entry-{entry_id}"')[1].split("</article>")[0]


def test_a_note_typed_in_an_older_window_stays_in_its_field(desk: Any) -> None:
    desk.post(f"{ENTRIES}/note/text", {"seen": 2, "text": "left knee stiff"})
    answer = desk.post(f"{ENTRIES}/note/text", {"seen": 2, "text": "both <knees>", "checked": "y"})
    assert answer.status_code == 409
    card = _card(answer.text, "note")
    assert "nothing was overwritten" in card
    assert "What you entered is still there" in card
    assert "note: left knee stiff" in card
    assert re.search(r"<textarea[^>]*>\nboth &lt;knees&gt;</textarea>", card)
    assert re.search(r'<input type="checkbox"[^>]* name="checked"[^>]* checked>', card)


def test_a_line_affirmed_in_an_older_window_stays_in_its_field(desk: Any) -> None:
    form = {"line": "pain 9", "seen": 2}
    shown = desk.post(f"{ENTRIES}/gap/type", form).text
    read_back = re.search(r'name="affirmed" value="([^"]+)"', shown)
    assert read_back is not None
    desk.affirm(f"{ENTRIES}/gap/type", {"line": "pain 4", "seen": 2})
    answer = desk.post(f"{ENTRIES}/gap/type", {**form, "affirmed": unescape(read_back[1])})
    assert answer.status_code == 409
    assert 'value="pain 9"' in _card(answer.text, "gap")


@pytest.mark.parametrize("more", [{"pain": "55", "phase": "gap"}, {}], ids=["refused", "missing"])
def test_what_was_chosen_from_lists_stays_chosen(desk: Any, more: dict[str, str]) -> None:
    sent = HALF | more
    card = _card(desk.post(f"{ENTRIES}/half/slots", sent).text, "half")
    assert '<option value="shoulder | internal rotation" selected>' in card
    assert f'value="{sent["pain"]}"' in card
    assert len(desk.history("half")) == 1


def test_lines_of_a_note_end_as_they_were_kept(desk: Any) -> None:
    """A form ends its lines with CR LF (WHATWG HTML, constructing the form data set)."""
    desk.post(f"{ENTRIES}/note/text", {"seen": 2, "text": "one\r\ntwo "})
    assert desk.history("note")[-1].content == Note(text="one\ntwo")


def test_a_note_is_not_emptied(desk: Any) -> None:
    answer = desk.post(f"{ENTRIES}/note/text", {"seen": 2, "text": " \r\n"})
    assert answer.status_code == 422
    assert "take the note out" in answer.text
    assert len(desk.history("note")) == 2


def test_a_note_saved_as_it_stands_is_no_new_version(desk: Any) -> None:
    text = desk.history("note")[-1].content.text
    assert desk.post(f"{ENTRIES}/note/text", {"seen": 2, "text": text}).status_code == 303
    assert len(desk.history("note")) == 2


def test_a_long_note_in_hangul_fits_its_field(desk: Any) -> None:
    text = "무" * 20_000
    assert desk.post(f"{ENTRIES}/note/text", {"seen": 2, "text": text}).status_code == 303
    assert desk.history("note")[-1].content == Note(text=text)


def test_only_a_note_has_a_text(desk: Any) -> None:
    assert desk.post(f"{ENTRIES}/gap/text", {"seen": 2, "text": "words"}).status_code == 404
    assert len(desk.history("gap")) == 2


def test_while_a_change_is_shown_a_key_affirms_that_change_alone(desk: Any) -> None:
    card = _card(desk.post(f"{ENTRIES}/gap/type", {"line": "pain 4", "seen": 2}).text, "gap")
    assert re.findall(r'data-key="(\D)"', card) == ["a"]
    assert "Right as it is" not in card
    asked = _card(desk.post(f"{ENTRIES}/gap/withdraw", {"seen": 2}).text, "gap")
    assert re.findall(r'data-key="(\D)"', asked) == []


def test_a_number_that_may_count_two_things_is_doubted_once(desk: Any) -> None:
    card = _card(desk.post(f"{ENTRIES}/gap/type", {"line": "4", "seen": 2}).text, "gap")
    assert card.count("does not say for certain what it counts") == 1


def test_the_address_of_a_form_leads_back_to_its_record(desk: Any) -> None:
    answer = desk.get(f"{ENTRIES}/gap/type")
    assert (answer.status_code, answer.location) == (303, f"/visits/{VISIT}#entry-gap")


@pytest.mark.skipif(not hasattr(time, "tzset"), reason="the zone cannot be set here")
def test_times_are_those_of_the_place_where_it_was_said(
    desk: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("TZ", "Asia/Seoul")
    time.tzset()
    try:
        page = desk.get(f"/visits/{VISIT}").text
    finally:
        monkeypatch.undo()
        time.tzset()
    assert "2026-03-02, 09:00 to 09:30" in page
    assert ">09:01:00</time>" in _card(page, "baseline")
    assert "18:01:00" not in page


@pytest.mark.skipif(not hasattr(time, "clock_gettime"), reason="no such clock here")
def test_an_hour_under_a_closed_lid_locks(monkeypatch: pytest.MonkeyPatch) -> None:
    door = Door(600.0)
    entered = door.enter(door.new_token())
    assert entered is not None
    assert door.known(entered.key) is entered
    awake = time.clock_gettime
    monkeypatch.setattr(time, "clock_gettime", lambda clock: awake(clock) + 3600)
    assert door.known(entered.key) is None
