"""What the forms of the desk keep: putting right, taking back, notes."""

import re
from concurrent.futures import ThreadPoolExecutor
from html import unescape
from typing import Any

import pytest
import requests

from voicelog.desk.fields import fields
from voicelog.desk.serve import Server
from voicelog.records.content import Note, Trial
from voicelog.records.entry import Affirmation

VISIT = "2026-03-02-1"
ENTRIES = f"/visits/{VISIT}/entries"


@pytest.mark.parametrize("number", ["0", "3", "0019", "1.0", "", "٢", "9" * 400])
def test_a_number_that_no_alternative_has_takes_none(desk: Any, number: str) -> None:
    shown = desk.post(f"{ENTRIES}/gap/pick", {"number": number, "seen": 2})
    assert "There is no alternative" in shown.text


def test_an_alternative_is_taken_by_its_number(desk: Any) -> None:
    answer = desk.affirm(f"{ENTRIES}/gap/pick", {"number": "2", "seen": 2})
    assert answer.headers["Location"] == f"/visits/{VISIT}#entry-gap"
    newest = desk.history("gap")[-1]
    assert isinstance(newest.content, Trial)
    assert (newest.content.range_deg, newest.content.pain) == (60, 3)
    assert newest.status == "confirmed"
    assert newest.affirmed is not None
    assert newest.affirmed.by == "desk"
    assert newest.by == "lee"
    text = desk.get(f"/visits/{VISIT}").text
    assert "range 16 → 60" in text
    assert "affirmed afterwards" in text
    assert "gap trial sixty degrees pain three" in newest.why


def test_a_proposal_shows_before_and_after_and_keeps_nothing_yet(desk: Any) -> None:
    shown = desk.post(f"{ENTRIES}/gap/pick", {"number": "1", "seen": 2}).text
    assert re.search(r"Pain</th><td><del>0</del></td><td><ins>3</ins>", shown)
    assert "left ankle, dorsiflexion, gap trial, sixteen degrees, one six, pain three" in shown
    assert len(desk.history("gap")) == 2


def test_an_affirmation_of_other_words_than_shown_keeps_nothing(desk: Any) -> None:
    form = {"line": "pain 9", "seen": 2, "affirmed": "left ankle, pain three"}
    answer = desk.post(f"{ENTRIES}/gap/type", form)
    assert "Before you save" in answer.text
    assert len(desk.history("gap")) == 2


def test_typed_shorthand_marks_what_is_doubtful_and_what_was_not_read(desk: Any) -> None:
    form = {"line": "L ankle DF gap 4/10 sharpp xyzzy", "seen": 2}
    shown = desk.post(f"{ENTRIES}/gap/type", form).text
    assert '<mark class="doubt">sharpp</mark>' in shown
    assert '<mark class="unread">xyzzy</mark>' in shown
    desk.affirm(f"{ENTRIES}/gap/type", form)
    newest = desk.history("gap")[-1]
    assert isinstance(newest.content, Trial)
    assert (newest.content.pain, newest.content.range_deg) == (4, 16)
    assert newest.why == f'typed "{form["line"]}"'


def test_the_reason_in_her_own_words_is_kept(desk: Any) -> None:
    form = {"line": "pain 4", "seen": 2}
    read_back = re.search(
        r'name="affirmed" value="([^"]+)"', desk.post(f"{ENTRIES}/gap/type", form).text
    )
    assert read_back is not None
    desk.post(f"{ENTRIES}/gap/type", {**form, "affirmed": read_back[1], "why": "heard again"})
    assert desk.history("gap")[-1].why == 'typed "pain 4": heard again'


def test_a_slot_is_changed_from_a_list(desk: Any) -> None:
    content = desk.history("half")[-1].content
    form: dict[str, object] = {
        field.name: field.value for field in fields(content, desk.house.language) if field.value
    }
    form |= {"movement": "shoulder | internal rotation", "phase": "baseline", "seen": 1}
    assert 'value="shoulder | internal rotation"' in desk.get(f"/visits/{VISIT}?open=half").text
    desk.affirm(f"{ENTRIES}/half/slots", form)
    newest = desk.history("half")[-1]
    assert newest.content == Trial(
        side="right", joint="shoulder", motion="internal rotation", phase="baseline", pain=5
    )
    assert newest.status == "confirmed"


def test_what_is_not_whole_offers_no_affirmation(desk: Any) -> None:
    answer = desk.post(f"{ENTRIES}/half/type", {"line": "pain 4", "seen": 1})
    assert "Still missing: motion, trial" in answer.text
    assert 'name="affirmed"' not in answer.text
    assert desk.post(f"{ENTRIES}/half/affirm", {"seen": 1}).status_code == 422
    assert len(desk.history("half")) == 1


def test_undo_is_shown_first_and_brings_the_record_back(desk: Any) -> None:
    before = desk.history("gap")[-1].content
    desk.affirm(f"{ENTRIES}/gap/type", {"line": "pain 9", "seen": 2})
    desk.affirm(f"{ENTRIES}/gap/undo", {"seen": 4})
    history = desk.history("gap")
    assert history[-1].content == before
    assert [v.status for v in history[-2:]] == ["unconfirmed", "confirmed"]
    assert history[-1].why == "undone, back to version 2"


def test_affirming_and_undoing_it(desk: Any) -> None:
    desk.post(f"{ENTRIES}/retest/affirm", {"seen": 1})
    assert desk.history("retest")[-1].status == "confirmed"
    asked = desk.post(f"{ENTRIES}/retest/unaffirm", {"seen": 2})
    assert "Undo the affirmation?" in asked.text
    assert desk.history("retest")[-1].status == "confirmed"
    desk.post(f"{ENTRIES}/retest/unaffirm", {"seen": 2, "sure": "yes"})
    assert desk.history("retest")[-1].status == "withdrawn"
    store = desk.house.store()
    assert len(store.unconfirmed(VISIT)) == 2
    store.close()


def test_discarding_asks_first_and_can_be_taken_back(desk: Any) -> None:
    assert "Discard this?" in desk.post(f"{ENTRIES}/retest/discard", {"seen": 1}).text
    assert len(desk.history("retest")) == 1
    desk.post(f"{ENTRIES}/retest/discard", {"seen": 1, "sure": "yes"})
    assert desk.history("retest")[-1].status == "dropped"
    assert "No longer counted" in desk.get(f"/visits/{VISIT}").text
    desk.post(f"{ENTRIES}/retest/take_back", {"seen": 2})
    assert desk.history("retest")[-1].status == "unconfirmed"


def test_a_record_is_taken_out_with_a_reason_only(desk: Any) -> None:
    assert "Take this record out?" in desk.post(f"{ENTRIES}/drill/withdraw", {"seen": 2}).text
    answer = desk.post(f"{ENTRIES}/drill/withdraw", {"seen": 2, "sure": "yes", "why": ""})
    assert answer.status_code == 422
    desk.post(f"{ENTRIES}/drill/withdraw", {"seen": 2, "sure": "yes", "why": "another client"})
    assert desk.history("drill")[-1].status == "withdrawn"
    assert "another client" in desk.get(f"/visits/{VISIT}").text


def test_the_second_of_two_windows_is_told_and_nothing_is_overwritten(desk: Any) -> None:
    form = {"line": "pain 4", "seen": 2}
    shown = desk.post(f"{ENTRIES}/gap/type", {"line": "pain 9", "seen": 2}).text
    second = re.search(r'name="affirmed" value="([^"]+)"', shown)
    assert second is not None
    desk.affirm(f"{ENTRIES}/gap/type", form)
    before = desk.history("gap")
    answer = desk.post(
        f"{ENTRIES}/gap/type", {"line": "pain 9", "seen": 2, "affirmed": unescape(second[1])}
    )
    assert answer.status_code == 409
    assert "changed in the meantime" in answer.text
    assert "nothing was overwritten" in answer.text
    assert desk.history("gap") == before


def test_a_visit_that_is_going_on_elsewhere_is_never_overwritten(desk: Any) -> None:
    store = desk.house.store()
    waiting = store.history("retest")[0]
    store.append(waiting.confirm(Affirmation(read_back="as heard", by="voice"), waiting.at))
    store.close()
    assert desk.post(f"{ENTRIES}/retest/affirm", {"seen": 1}).status_code == 409
    assert len(desk.history("retest")) == 2


def test_many_at_once_make_one_change(desk: Any) -> None:
    server = Server(desk.browser.application)
    with requests.Session() as browser:
        browser.headers["Origin"] = server.address
        key = re.search(
            r'name="form_key" value="([^"]+)"',
            browser.get(f"{server.address}/enter/{desk.door.new_token()}", timeout=20).text,
        )
        assert key is not None
        form = {"form_key": key[1], "line": "pain 9", "seen": "2"}

        def send(_: int = 0) -> requests.Response:
            url = f"{server.address}{ENTRIES}/gap/type"
            return browser.post(url, form, allow_redirects=False, timeout=20)

        affirmed = re.search(r'name="affirmed" value="([^"]+)"', send().text)
        assert affirmed is not None
        form["affirmed"] = unescape(affirmed[1])
        with ThreadPoolExecutor(6) as windows:
            codes = [answer.status_code for answer in windows.map(send, range(6))]
    server.close()
    assert set(codes) <= {303, 409}
    assert 303 in codes
    assert [v.status for v in desk.history("gap")[2:]] == ["unconfirmed", "confirmed"]


def test_a_note_is_put_right_and_marked_as_compared(desk: Any) -> None:
    desk.post(f"{ENTRIES}/note/text", {"seen": 2, "text": "left knee stiff", "checked": "yes"})
    newest = desk.history("note")[-1]
    assert newest.content == Note(text="left knee stiff", checked=True)
    assert newest.why == "compared with its sound"
    assert desk.cards(f"/visits/{VISIT}")[:3] == ["retest", "half", "gap"]


def test_what_is_found_in_a_note_becomes_a_record_only_by_an_affirmation(desk: Any) -> None:
    text = desk.get(f"/visits/{VISIT}").text
    assert re.search(r'<li class="chip"><strong>Joint</strong> knee', text)
    form = {"line": "R knee flexion baseline 4/10", "seen": 2}
    desk.post(f"{ENTRIES}/note/record", form)
    store = desk.house.store()
    assert len(store.records(VISIT)) == 4
    store.close()
    desk.affirm(f"{ENTRIES}/note/record", form)
    store = desk.house.store()
    found = [record for record in store.records(VISIT) if "found in a note" in record.why]
    store.close()
    assert [record.content for record in found] == [
        Trial(side="right", joint="knee", motion="flexion", phase="baseline", pain=4)
    ]
    assert len(desk.history("note")) == 2
