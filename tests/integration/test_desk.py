"""The desk, request by request: who may come in, what the pages say, what the forms keep."""

import re
import sqlite3
from collections.abc import Callable, Iterator, Mapping
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from html import unescape
from pathlib import Path

import html5lib
import pytest
import requests
from flask.testing import FlaskClient
from werkzeug.test import TestResponse

from voicelog.corrections.room import Room
from voicelog.desk.app import make_app
from voicelog.desk.door import Door
from voicelog.desk.fields import fields
from voicelog.desk.serve import Server
from voicelog.exports import formats
from voicelog.records.content import Note, Trial
from voicelog.records.entry import Affirmation, Entry
from voicelog.settings import Settings
from voicelog.store.base import Clip, Store
from voicelog.wiring import House

Fill = Callable[[Store], str]
ADDRESS = "http://127.0.0.1:5040"
VISIT = "2026-03-02-1"
ENTRIES = f"/visits/{VISIT}/entries"
IDLE_S = 600.0


@dataclass
class Desk:
    """The desk with somebody at it."""

    browser: FlaskClient
    door: Door
    house: House
    seconds: list[float]
    """What the door's clock says."""

    def get(self, path: str, **headers: str) -> TestResponse:
        return self.browser.get(path, base_url=ADDRESS, headers=headers)

    def post(self, path: str, form: Mapping[str, object], **headers: str) -> TestResponse:
        key = self.form_key()
        own = {"Origin": ADDRESS} | headers
        return self.browser.post(
            path, base_url=ADDRESS, headers=own, data={"form_key": key, **form}
        )

    def form_key(self) -> str:
        found = re.search(r'name="form_key" value="([^"]+)"', self.get("/visits").text)
        return found[1] if found else ""

    def affirm(self, path: str, form: Mapping[str, object]) -> TestResponse:
        """Send a form, and affirm what it shows."""
        shown = self.post(path, form)
        assert shown.status_code == 200, shown.text
        found = re.search(r'name="affirmed" value="([^"]+)"', shown.text)
        assert found is not None, shown.text
        return self.post(path, {**form, "affirmed": unescape(found[1])})

    def history(self, entry_id: str) -> tuple[Entry, ...]:
        store = self.house.store()
        try:
            return store.history(entry_id)
        finally:
            store.close()


@pytest.fixture(scope="module")
def room(tmp_path_factory: pytest.TempPathFactory) -> Room:
    folder = tmp_path_factory.mktemp("desk")
    house = House(Settings(data_folder=folder, practitioner="lee"))
    return Room(house, lambda: datetime(2026, 3, 2, 18, 0, tzinfo=UTC))


@pytest.fixture
def desk(room: Room, dictated: Fill) -> Iterator[Desk]:
    """Somebody at the desk, with one visit in the store."""
    room.house.settings.store_file.unlink(missing_ok=True)
    store = room.house.store()
    dictated(store)
    store.close()
    seconds = [0.0]
    door = Door(IDLE_S, lambda: seconds[0])
    app = make_app(room, door)
    app.testing = True
    with app.test_client() as browser:
        desk = Desk(browser, door, room.house, seconds)
        assert desk.get(f"/enter/{door.new_token()}").status_code == 303
        yield desk


# Who may come in. The items named are those of the OWASP Application Security Verification
# Standard 5.0 and of https://cheatsheetseries.owasp.org (CSRF, DNS rebinding, session management).


def test_a_wrong_token_shows_nothing(desk: Desk) -> None:
    with desk.browser.application.test_client() as other:
        for path in ("/enter/wrong", "/enter/", "/visits", f"/visits/{VISIT}", "/"):
            answer = other.get(path, base_url=ADDRESS)
            assert answer.status_code in (401, 404)
            assert "C-014" not in answer.text
            assert "Set-Cookie" not in answer.headers


def test_a_token_works_once_and_a_second_use_locks_everybody_out(desk: Desk) -> None:
    token = desk.door.new_token()
    assert desk.get(f"/enter/{token}").status_code == 303
    assert desk.get("/visits").status_code == 200
    with desk.browser.application.test_client() as thief:
        assert thief.get(f"/enter/{token}", base_url=ADDRESS).status_code == 401
    assert desk.get("/visits").status_code == 401


def test_the_cookie_is_strict_and_out_of_reach_of_scripts(desk: Desk) -> None:  # ASVS 3.3.2, 3.3.4
    answer = desk.get(f"/enter/{desk.door.new_token()}")
    cookie = answer.headers["Set-Cookie"]
    assert {"HttpOnly", "SameSite=Strict", "Path=/"} <= {part.strip() for part in cookie.split(";")}
    assert len(re.findall(r"voicelog_desk_5040=([\w-]{43})", cookie)) == 1


def test_idle_time_locks_and_use_keeps_open(desk: Desk) -> None:  # ASVS 7.3.1
    for _ in range(3):
        desk.seconds[0] += IDLE_S - 1
        assert desk.get("/visits").status_code == 200
    desk.seconds[0] += IDLE_S + 1
    assert desk.get(f"/visits/{VISIT}").status_code == 401
    assert "C-014" not in desk.get(f"/visits/{VISIT}").text


def test_a_token_that_nobody_used_grows_too_old(desk: Desk) -> None:
    token = desk.door.new_token()
    desk.seconds[0] += IDLE_S + 1
    assert desk.get(f"/enter/{token}").status_code == 401


def test_the_lock_button_locks(desk: Desk) -> None:
    assert desk.post("/lock", {}).status_code == 303
    assert desk.get("/visits").status_code == 401


@pytest.mark.parametrize(
    "host",
    ["desk.example:5040", "localhost:5040", "127.0.0.1:80", "127.0.0.1", "127.0.0.1.example:5040"],
)
def test_no_other_host_is_served(desk: Desk, host: str) -> None:
    answer = desk.get("/visits", Host=host)
    assert answer.status_code == 421
    assert "C-014" not in answer.text


@pytest.mark.parametrize(
    "origin", ["http://desk.example", "null", "http://127.0.0.1:5041", "https://127.0.0.1:5040", ""]
)
def test_a_form_of_another_origin_does_nothing(desk: Desk, origin: str) -> None:  # ASVS 3.5.1
    answer = desk.post(f"{ENTRIES}/retest/affirm", {"seen": 1}, Origin=origin)
    assert answer.status_code == 403
    assert len(desk.history("retest")) == 1


def test_a_form_without_its_key_does_nothing(desk: Desk) -> None:
    for key in ("", "wrong", "ключ"):
        answer = desk.post(f"{ENTRIES}/retest/affirm", {"seen": 1, "form_key": key})
        assert answer.status_code == 403
    assert len(desk.history("retest")) == 1


def test_a_page_asked_for_by_another_site_is_not_given(desk: Desk) -> None:
    for site in ("cross-site", "same-site"):
        assert desk.get(f"/visits/{VISIT}", **{"Sec-Fetch-Site": site}).status_code == 403


def test_every_answer_is_closed_up(desk: Desk) -> None:  # ASVS 3.4.3, 3.4.4, 3.4.5, 14.3.2
    for path in ("/visits", f"/visits/{VISIT}", f"{ENTRIES}/gap/sound/0", "/nothing", "/locked"):
        headers = desk.get(path).headers
        assert headers["Cache-Control"] == "no-store"
        assert headers["X-Content-Type-Options"] == "nosniff"
        policy = headers["Content-Security-Policy"]
        assert policy.startswith("default-src 'none'; script-src 'self';")
        assert "unsafe" not in policy
        assert "http" not in policy


def test_pages_hold_nothing_that_the_policy_would_stop(desk: Desk) -> None:
    for path in ("/visits", f"/visits/{VISIT}", f"/visits/{VISIT}?open=gap", "/locked"):
        text = desk.get(path).text
        assert not re.search(r"\sstyle=|\son\w+=|javascript:", text)
        assert not re.search(r"<script(?![^>]*\ssrc=\"/static/)", text)
        assert not re.search(r"<style(?![^>]*nonce=)", text)
        assert not re.search(r'(?:src|href)="(?:https?:)?//', text)


@pytest.mark.parametrize(
    "path",
    [
        "/static/../app.py",
        "/static/%2e%2e/app.py",
        "/static/..%2fapp.py",
        "/static//etc/passwd",
        "/visits/..%2f..%2fetc%2fpasswd",
        f"/visits/{VISIT}/export/..%2f..%2fwiring",
        f"/visits/{VISIT}/export/base",
        f"/visits/{VISIT}/export/os",
        f"{ENTRIES}/gap/sound/99",
        f"{ENTRIES}/gap/sound/-1",
        f"{ENTRIES}/..%2f/sound/0",
        "/visits/2026-03-02-9/entries/gap/sound/0",
        "/visits/" + "9" * 5000,
        "/visits/%00",
    ],
)
def test_path_tricks_lead_nowhere(desk: Desk, path: str) -> None:
    answer = desk.browser.get(path, base_url=ADDRESS, follow_redirects=True)
    assert answer.status_code == 404
    assert "root:" not in answer.text
    assert "Traceback" not in answer.text


def test_what_goes_wrong_is_shown_and_logged_without_what_was_said(
    desk: Desk, monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    def broken(*_: object) -> None:
        raise KeyError("left ankle pain six of C-014")

    monkeypatch.setattr(Room, "changes", broken)
    desk.browser.application.testing = False  # as it is served
    answer = desk.post(f"{ENTRIES}/gap/type", {"line": "pain 9", "seen": 2})
    assert answer.status_code == 500
    assert "KeyError in " in caplog.text
    for word in ("ankle", "six", "C-014"):
        assert word not in caplog.text + answer.text


def test_only_what_is_meant_can_be_posted(desk: Desk) -> None:
    assert desk.post(f"{ENTRIES}/gap/erase", {}).status_code == 404
    assert desk.post(f"{ENTRIES}/nobody/affirm", {"seen": 1}).status_code == 404
    assert desk.post("/visits/2026-03-02-9/entries/gap/affirm", {"seen": 2}).status_code == 404
    assert desk.post(f"{ENTRIES}/gap/type", {"line": "x" * 70_000}).status_code == 413
    assert len(desk.history("gap")) == 2


def test_what_nobody_foresaw_is_said_without_what_was_said(
    desk: Desk, monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    def broken(*_: object) -> None:
        raise ValueError("C-014 said pain six")

    monkeypatch.setattr("voicelog.desk.pages.visit_page", broken)
    desk.browser.application.config["PROPAGATE_EXCEPTIONS"] = False
    answer = desk.get(f"/visits/{VISIT}")
    assert answer.status_code == 500
    assert "what was saved is still there" in answer.text
    assert "ValueError in" in caplog.text
    assert "pain six" not in caplog.text + answer.text


@pytest.mark.parametrize(
    "path", ["/visits", f"/visits/{VISIT}", f"/visits/{VISIT}?open=gap", "/locked", "/nothing"]
)
def test_pages_are_valid_html(desk: Desk, path: str) -> None:
    """By html5lib, which implements the parsing algorithm of the HTML standard."""
    html5lib.HTMLParser(strict=True).parse(desk.get(path).text)


# The list.


def test_visits_are_listed_and_filtered_without_a_code_in_the_address(desk: Desk) -> None:
    store = desk.house.store()
    for day in range(3, 40):
        store.open_visit(f"C-{day:03}", datetime(2026, 3, 1, 9, tzinfo=UTC) + timedelta(days=day))
    store.close()
    first = desk.get("/visits").text
    assert "38 visits, page 1 of 2" in first
    assert first.index("C-039") < first.index("C-038")
    answer = desk.post("/visits", {"client": "c-01", "since": "2026-03-13", "until": "2026-03-16"})
    assert answer.headers["Location"] == "/visits"
    shown = re.findall(r"<strong>([^<]+)", desk.get("/visits").text)
    assert shown == ["C-015", "C-014", "C-013", "C-012"]
    assert "Older" not in desk.get("/visits?page=7").text


def test_a_day_that_is_none_is_said_and_changes_nothing(desk: Desk) -> None:
    desk.post("/visits", {"since": "yesterday"})
    answer = desk.get("/visits")
    assert answer.status_code == 422
    assert "yesterday is no date" in answer.text


# A visit.


def _cards(text: str) -> list[str]:
    return re.findall(r'<article class="card[^"]*" id="entry-([^"]+)"', text)


def test_a_visit_shows_what_needs_a_look_first(desk: Desk) -> None:
    text = desk.get(f"/visits/{VISIT}").text
    assert _cards(text) == ["retest", "half", "gap", "note", "baseline", "drill"]
    assert "4 of 6 need a look" in text
    assert "48 % sure" in text
    assert "missing: motion, trial" in text
    assert "gap trial sixty degrees pain three" in text


def test_comparisons_and_direction_stand_beside_the_records(desk: Desk) -> None:
    text = desk.get(f"/visits/{VISIT}").text
    assert "Pain 6 to 0 (6 lower, 100 %): lower, beyond usual error" in text
    assert "Left ankle dorsiflexion: not enough to say. Missing: a compression trial" in text


def test_sound_is_served_as_it_was_kept(desk: Desk) -> None:
    store = desk.house.store()
    kept = store.clips("gap")[0].flac
    store.close()
    answer = desk.get(f"{ENTRIES}/gap/sound/0")
    assert (answer.mimetype, answer.data) == ("audio/flac", kept)
    assert answer.data.startswith(b"fLaC")  # RFC 9639, section 6


def test_a_lost_and_a_damaged_clip_are_said_and_the_rest_works(desk: Desk) -> None:
    with sqlite3.connect(desk.house.settings.store_file) as file:
        file.execute("DELETE FROM clip WHERE entry_id = 'baseline'")
        file.execute("UPDATE clip SET flac = x'664c6143' WHERE entry_id = 'gap'")
    file.close()
    text = desk.get(f"/visits/{VISIT}").text
    assert len(_cards(text)) == 6
    assert "No sound is kept with this one" in text
    assert "This sound clip is damaged" in text
    assert desk.get(f"{ENTRIES}/baseline/sound/0").status_code == 404


def test_markup_in_words_and_notes_stays_words(desk: Desk) -> None:
    nasty = "<img src=x onerror=alert(1)>\"'><script>alert(2)</script>"
    store = desk.house.store()
    note = store.history("note")[0]
    own = {"entry_id": "nasty", "content": Note(text=nasty), "why": nasty, "by": nasty}
    heard = note.evidence[0].model_copy(update={"text": nasty, "alternatives": (nasty,)})
    store.append(note.model_copy(update={**own, "evidence": (heard,)}), (Clip(b"", nasty, 1.0),))
    store.close()
    shown = desk.get(f"/visits/{VISIT}").text
    shown += desk.post(f"{ENTRIES}/gap/type", {"line": nasty, "seen": 2}).text
    shown += desk.post(f"{ENTRIES}/gap/pick", {"number": nasty, "seen": 2}).text
    desk.post("/visits", {"client": nasty})
    shown += desk.get("/visits").text
    assert "<img" not in shown
    assert "<script>" not in shown
    assert "&lt;img src=x onerror=alert(1)&gt;" in shown


# Putting right.


def test_an_alternative_is_taken_by_its_number(desk: Desk) -> None:
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
    assert "affirmed at the desk" in text
    assert "gap trial sixty degrees pain three" in newest.why


def test_a_proposal_shows_before_and_after_and_keeps_nothing_yet(desk: Desk) -> None:
    shown = desk.post(f"{ENTRIES}/gap/pick", {"number": "1", "seen": 2}).text
    assert re.search(r"Pain</th><td><del>0</del></td><td><ins>3</ins>", shown)
    assert "left ankle, dorsiflexion, gap trial, sixteen degrees, one six, pain three" in shown
    assert len(desk.history("gap")) == 2


def test_an_affirmation_of_other_words_than_shown_keeps_nothing(desk: Desk) -> None:
    form = {"line": "pain 9", "seen": 2, "affirmed": "left ankle, pain three"}
    answer = desk.post(f"{ENTRIES}/gap/type", form)
    assert "Before you save" in answer.text
    assert len(desk.history("gap")) == 2


def test_typed_shorthand_marks_what_is_doubtful_and_what_was_not_read(desk: Desk) -> None:
    form = {"line": "L ankle DF gap 4/10 sharpp xyzzy", "seen": 2}
    shown = desk.post(f"{ENTRIES}/gap/type", form).text
    assert '<mark class="doubt">sharpp</mark>' in shown
    assert '<mark class="unread">xyzzy</mark>' in shown
    desk.affirm(f"{ENTRIES}/gap/type", form)
    newest = desk.history("gap")[-1]
    assert isinstance(newest.content, Trial)
    assert (newest.content.pain, newest.content.range_deg) == (4, 16)
    assert newest.why == f'typed "{form["line"]}"'


def test_the_reason_in_her_own_words_is_kept(desk: Desk) -> None:
    form = {"line": "pain 4", "seen": 2}
    read_back = re.search(
        r'name="affirmed" value="([^"]+)"', desk.post(f"{ENTRIES}/gap/type", form).text
    )
    assert read_back is not None
    desk.post(f"{ENTRIES}/gap/type", {**form, "affirmed": read_back[1], "why": "heard again"})
    assert desk.history("gap")[-1].why == 'typed "pain 4": heard again'


def test_a_slot_is_changed_from_a_list(desk: Desk) -> None:
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


def test_what_is_not_whole_offers_no_affirmation(desk: Desk) -> None:
    answer = desk.post(f"{ENTRIES}/half/type", {"line": "pain 4", "seen": 1})
    assert "Still missing: motion, trial" in answer.text
    assert 'name="affirmed"' not in answer.text
    assert desk.post(f"{ENTRIES}/half/affirm", {"seen": 1}).status_code == 422
    assert len(desk.history("half")) == 1


def test_undo_is_shown_first_and_brings_the_record_back(desk: Desk) -> None:
    before = desk.history("gap")[-1].content
    desk.affirm(f"{ENTRIES}/gap/type", {"line": "pain 9", "seen": 2})
    desk.affirm(f"{ENTRIES}/gap/undo", {"seen": 4})
    history = desk.history("gap")
    assert history[-1].content == before
    assert [v.status for v in history[-2:]] == ["unconfirmed", "confirmed"]
    assert history[-1].why == "undone, back to version 2"


def test_affirming_and_undoing_it(desk: Desk) -> None:
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


def test_discarding_asks_first_and_can_be_taken_back(desk: Desk) -> None:
    assert "Discard this?" in desk.post(f"{ENTRIES}/retest/discard", {"seen": 1}).text
    assert len(desk.history("retest")) == 1
    desk.post(f"{ENTRIES}/retest/discard", {"seen": 1, "sure": "yes"})
    assert desk.history("retest")[-1].status == "dropped"
    assert "No longer counted" in desk.get(f"/visits/{VISIT}").text
    desk.post(f"{ENTRIES}/retest/take_back", {"seen": 2})
    assert desk.history("retest")[-1].status == "unconfirmed"


def test_a_record_is_taken_out_with_a_reason_only(desk: Desk) -> None:
    assert "Take this record out?" in desk.post(f"{ENTRIES}/drill/withdraw", {"seen": 2}).text
    answer = desk.post(f"{ENTRIES}/drill/withdraw", {"seen": 2, "sure": "yes", "why": ""})
    assert answer.status_code == 422
    desk.post(f"{ENTRIES}/drill/withdraw", {"seen": 2, "sure": "yes", "why": "another client"})
    assert desk.history("drill")[-1].status == "withdrawn"
    assert "another client" in desk.get(f"/visits/{VISIT}").text


def test_the_second_of_two_windows_is_told_and_nothing_is_overwritten(desk: Desk) -> None:
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


def test_a_visit_that_is_going_on_elsewhere_is_never_overwritten(desk: Desk) -> None:
    store = desk.house.store()
    waiting = store.history("retest")[0]
    store.append(waiting.confirm(Affirmation(read_back="as heard", by="voice"), waiting.at))
    store.close()
    assert desk.post(f"{ENTRIES}/retest/affirm", {"seen": 1}).status_code == 409
    assert len(desk.history("retest")) == 2


def test_many_at_once_make_one_change(desk: Desk) -> None:
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


# Notes.


def test_a_note_is_put_right_and_marked_as_compared(desk: Desk) -> None:
    desk.post(f"{ENTRIES}/note/text", {"seen": 2, "text": "left knee stiff", "checked": "yes"})
    newest = desk.history("note")[-1]
    assert newest.content == Note(text="left knee stiff", checked=True)
    assert newest.why == "compared with its sound"
    assert _cards(desk.get(f"/visits/{VISIT}").text)[:3] == ["retest", "half", "gap"]


def test_what_is_found_in_a_note_becomes_a_record_only_by_an_affirmation(desk: Desk) -> None:
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


# Handing over.


@pytest.mark.parametrize("name", formats())
def test_every_format_is_one_button(desk: Desk, name: str) -> None:
    assert f"/visits/{VISIT}/export/{name}" in desk.get(f"/visits/{VISIT}").text
    answer = desk.get(f"/visits/{VISIT}/export/{name}")
    assert answer.status_code == 200
    assert answer.headers["Content-Disposition"].startswith(f"attachment; filename={VISIT}")
    assert answer.data


def test_what_was_not_affirmed_is_handed_over_only_when_asked_for(desk: Desk) -> None:
    assert '"retest"' not in desk.get(f"/visits/{VISIT}/export/json").text
    assert '"retest"' in desk.get(f"/visits/{VISIT}/export/json?unconfirmed=yes").text


def test_the_shipped_pages_are_in_the_package() -> None:
    folder = Path(make_app.__code__.co_filename).parent
    assert {"desk.css", "desk.js", "desk.svg"} == {p.name for p in (folder / "static").iterdir()}
