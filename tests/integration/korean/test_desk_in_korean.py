"""Every page of the desk in Korean, and nothing bare in its templates.

What is words of a page is told by the standard library's parser of HTML; what is Korean by the
letters.
"""

import re
from collections.abc import Callable, Iterator
from html.parser import HTMLParser

import pytest
from flask.testing import FlaskClient
from werkzeug.test import TestResponse

from voicelog.corrections.room import Room
from voicelog.desk.app import make_app
from voicelog.desk.door import Door

ADDRESS = "http://127.0.0.1:5040"
VISIT = "2026-03-02-1"
ENTRIES = f"/visits/{VISIT}/entries"
SAID = ("aria-label", "placeholder", "alt", "title", "label", "data-say-play", "data-say-stop",
        "data-say-unplayable", "data-say-nothing-else")  # fmt: skip
"""Attributes that somebody hears or reads."""


class _Words(HTMLParser):
    """What is read on a page, without keys on the keyboard, and the language it says it is in."""

    def __init__(self) -> None:
        super().__init__()
        self.found: list[str] = []
        self.lang: str | None = None
        self._inside: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self._inside.append(tag)
        given = dict(attrs)
        self.lang = given.get("lang", self.lang)
        self.found += [given[name] or "" for name in SAID if name in given]

    def handle_endtag(self, tag: str) -> None:
        while self._inside and self._inside.pop() != tag:
            pass

    def handle_data(self, data: str) -> None:
        if not {"style", "kbd"} & set(self._inside):
            self.found.append(data)


def read(page: str) -> tuple[str, str | None]:
    reader = _Words()
    reader.feed(page)
    return " ".join(" ".join(reader.found).split()), reader.lang


class Visitor:
    """Somebody at the Korean desk."""

    def __init__(self, browser: FlaskClient, door: Door) -> None:
        self.browser = browser
        self.door = door

    def get(self, path: str) -> TestResponse:
        return self.browser.get(path, base_url=ADDRESS)

    def post(self, path: str, **form: object) -> TestResponse:
        key = re.search(r'name="form_key" value="([^"]+)"', self.get("/visits").text)
        assert key is not None
        data = {"form_key": key[1], **form}
        return self.browser.post(path, base_url=ADDRESS, headers={"Origin": ADDRESS}, data=data)


@pytest.fixture(scope="module")
def at_desk(korean_room: Room) -> Iterator[Visitor]:
    door = Door(600.0, lambda: 0.0)
    app = make_app(korean_room, door)
    app.testing = True
    with app.test_client() as browser:
        browser.get(f"/enter/{door.new_token()}", base_url=ADDRESS)
        yield Visitor(browser, door)


@pytest.mark.parametrize(
    "path",
    [
        "/visits",
        f"/visits/{VISIT}",
        f"/visits/{VISIT}?open=baseline",
        f"/visits/{VISIT}?open=drill",
        "/words",
        "/locked",
        "/nowhere",
    ],
)
def test_a_page_is_korean(
    at_desk: Visitor, english_in: Callable[..., list[str]], path: str
) -> None:
    words, lang = read(at_desk.get(path).text)
    assert lang == "ko"
    assert re.search("[가-힣]", words)
    assert english_in(words) == []


@pytest.mark.parametrize(
    ("way", "form"),
    [
        ("gap/type", {"line": "왼쪽 무릎 굽힘 견인 통증 사"}),
        ("gap/type", {"line": "통증 사 뭐라고"}),
        ("gap/pick", {"number": "1"}),
        ("gap/pick", {"number": "9"}),
        ("gap/withdraw", {}),
        ("gap/withdraw", {"sure": "yes", "why": ""}),
        ("gap/undo", {}),
        ("gap/affirm", {"seen": "1"}),
        ("retest/discard", {}),
        ("retest/take_back", {}),
        ("half/affirm", {}),
        ("half/slots", {"pain": "99"}),
        ("half/slots", {"side": "up"}),
        ("note/record", {"line": "오른쪽 무릎 굽힘 기준 통증 4"}),
        ("note/record", {"line": "그냥"}),
    ],
)
def test_what_a_form_leads_to_is_korean(
    at_desk: Visitor, english_in: Callable[..., list[str]], way: str, form: dict[str, str]
) -> None:
    seen = {"gap": 2, "note": 2}.get(way.split("/")[0], 1)
    answer = at_desk.post(f"{ENTRIES}/{way}", **{"seen": seen, **form})
    assert answer.status_code in (200, 409, 422), answer.status
    assert english_in(read(answer.text)[0]) == []


def test_what_became_of_a_change_is_told_in_korean(
    at_desk: Visitor, english_in: Callable[..., list[str]]
) -> None:
    discarded = at_desk.post(f"{ENTRIES}/retest/discard", seen=1, sure="yes")
    assert discarded.status_code == 303
    first = read(at_desk.get(f"/visits/{VISIT}").text)[0]
    back = at_desk.post(f"{ENTRIES}/retest/take_back", seen=2)
    assert back.status_code == 303
    second = read(at_desk.get(f"/visits/{VISIT}").text)[0]
    assert "버림: 왼쪽 무릎" in first
    assert "다시 확인을 기다림: 왼쪽 무릎" in second
    assert english_in(first + second) == []


@pytest.mark.parametrize(
    "form",
    [
        {"kind": "drill", "name": "벽 2"},
        {"kind": "drill", "name": " "},
        {"kind": "drill", "name": "가 나 다 라 마 바 사"},
        {"kind": "drill", "name": "새 운동", "other": "벽 밀기"},
    ],
)
def test_a_word_that_cannot_be_added_is_refused_in_korean(
    at_desk: Visitor, english_in: Callable[..., list[str]], form: dict[str, str]
) -> None:
    answer = at_desk.post("/words", **form)
    assert answer.status_code == 422
    assert english_in(read(answer.text)[0]) == []


def test_a_day_that_is_none_is_refused_in_korean(
    at_desk: Visitor, english_in: Callable[..., list[str]]
) -> None:
    answer = at_desk.post("/visits", since="어제")
    assert answer.status_code == 422
    assert english_in(read(answer.text)[0]) == []


def test_the_example_beside_the_field_can_be_typed_as_it_is(korean_room: Room) -> None:
    typed = korean_room.read(korean_room.house.language.texts.desk.putting.example, None)
    assert typed.content is not None
    assert not typed.unread
