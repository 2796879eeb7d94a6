"""Who may come in to the desk, and how closed its answers are.

The items named are those of the OWASP Application Security Verification Standard 5.0 and of
https://cheatsheetseries.owasp.org (CSRF, DNS rebinding, session management).
"""

import re
from typing import Any

import pytest

from voicelog.corrections.room import Room

ADDRESS = "http://127.0.0.1:5040"
VISIT = "2026-03-02-1"
ENTRIES = f"/visits/{VISIT}/entries"
IDLE_S = 600.0


def test_a_wrong_token_shows_nothing(desk: Any) -> None:
    with desk.browser.application.test_client() as other:
        for path in ("/enter/wrong", "/enter/", "/visits", f"/visits/{VISIT}", "/"):
            answer = other.get(path, base_url=ADDRESS)
            assert answer.status_code in (401, 404)
            assert "C-014" not in answer.text
            assert "Set-Cookie" not in answer.headers


def test_a_token_works_once_and_a_second_use_locks_everybody_out(desk: Any) -> None:
    token = desk.door.new_token()
    assert desk.get(f"/enter/{token}").status_code == 303
    assert desk.get("/visits").status_code == 200
    with desk.browser.application.test_client() as thief:
        assert thief.get(f"/enter/{token}", base_url=ADDRESS).status_code == 401
    assert desk.get("/visits").status_code == 401


def test_the_cookie_is_strict_and_out_of_reach_of_scripts(desk: Any) -> None:  # ASVS 3.3.2, 3.3.4
    answer = desk.get(f"/enter/{desk.door.new_token()}")
    cookie = answer.headers["Set-Cookie"]
    assert {"HttpOnly", "SameSite=Strict", "Path=/"} <= {part.strip() for part in cookie.split(";")}
    assert len(re.findall(r"voicelog_desk_5040=([\w-]{43})", cookie)) == 1


def test_idle_time_locks_and_use_keeps_open(desk: Any) -> None:  # ASVS 7.3.1
    for _ in range(3):
        desk.seconds[0] += IDLE_S - 1
        assert desk.get("/visits").status_code == 200
    desk.seconds[0] += IDLE_S + 1
    assert desk.get(f"/visits/{VISIT}").status_code == 401
    assert "C-014" not in desk.get(f"/visits/{VISIT}").text


def test_a_token_that_nobody_used_grows_too_old(desk: Any) -> None:
    token = desk.door.new_token()
    desk.seconds[0] += IDLE_S + 1
    assert desk.get(f"/enter/{token}").status_code == 401


def test_the_lock_button_locks(desk: Any) -> None:
    assert desk.post("/lock", {}).status_code == 303
    assert desk.get("/visits").status_code == 401


@pytest.mark.parametrize(
    "host",
    ["desk.example:5040", "localhost:5040", "127.0.0.1:80", "127.0.0.1", "127.0.0.1.example:5040"],
)
def test_no_other_host_is_served(desk: Any, host: str) -> None:
    answer = desk.get("/visits", Host=host)
    assert answer.status_code == 421
    assert "C-014" not in answer.text


@pytest.mark.parametrize(
    "origin", ["http://desk.example", "null", "http://127.0.0.1:5041", "https://127.0.0.1:5040", ""]
)
def test_a_form_of_another_origin_does_nothing(desk: Any, origin: str) -> None:  # ASVS 3.5.1
    answer = desk.post(f"{ENTRIES}/retest/affirm", {"seen": 1}, Origin=origin)
    assert answer.status_code == 403
    assert len(desk.history("retest")) == 1


def test_a_form_without_its_key_does_nothing(desk: Any) -> None:
    for key in ("", "wrong", "ключ"):
        answer = desk.post(f"{ENTRIES}/retest/affirm", {"seen": 1, "form_key": key})
        assert answer.status_code == 403
    assert len(desk.history("retest")) == 1


def test_a_page_asked_for_by_another_site_is_not_given(desk: Any) -> None:
    for site in ("cross-site", "same-site"):
        assert desk.get(f"/visits/{VISIT}", **{"Sec-Fetch-Site": site}).status_code == 403


def test_every_answer_is_closed_up(desk: Any) -> None:  # ASVS 3.4.3, 3.4.4, 3.4.5, 14.3.2
    for path in ("/visits", f"/visits/{VISIT}", f"{ENTRIES}/gap/sound/0", "/nothing", "/locked"):
        headers = desk.get(path).headers
        assert headers["Cache-Control"] == "no-store"
        assert headers["X-Content-Type-Options"] == "nosniff"
        policy = headers["Content-Security-Policy"]
        assert policy.startswith("default-src 'none'; script-src 'self';")
        assert "unsafe" not in policy
        assert "http" not in policy


def test_pages_hold_nothing_that_the_policy_would_stop(desk: Any) -> None:
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
def test_path_tricks_lead_nowhere(desk: Any, path: str) -> None:
    answer = desk.browser.get(path, base_url=ADDRESS, follow_redirects=True)
    assert answer.status_code == 404
    assert "root:" not in answer.text
    assert "Traceback" not in answer.text


def test_what_goes_wrong_is_shown_and_logged_without_what_was_said(
    desk: Any, monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
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


def test_only_what_is_meant_can_be_posted(desk: Any) -> None:
    assert desk.post(f"{ENTRIES}/gap/erase", {}).status_code == 404
    assert desk.post(f"{ENTRIES}/nobody/affirm", {"seen": 1}).status_code == 404
    assert desk.post("/visits/2026-03-02-9/entries/gap/affirm", {"seen": 2}).status_code == 404
    assert desk.post(f"{ENTRIES}/gap/type", {"line": "x" * 300_000}).status_code == 413
    assert len(desk.history("gap")) == 2


def test_what_nobody_foresaw_is_said_without_what_was_said(
    desk: Any, monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
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
