"""The page of own words at the desk: added, warned of, removed, and known at once."""

import re
from collections.abc import Callable, Iterator
from datetime import UTC, datetime
from pathlib import Path

import pytest
from werkzeug.test import TestResponse

from voicelog.corrections.room import Room
from voicelog.desk.app import make_app
from voicelog.desk.door import Door
from voicelog.settings.fields import Settings
from voicelog.wiring import House
from voicelog.words.file import load_own_words

ADDRESS = "http://127.0.0.1:5040"
Send = Callable[..., TestResponse]


@pytest.fixture
def room(tmp_path: Path) -> Room:
    house = House(Settings(data_folder=tmp_path, language="en"))
    return Room(house, lambda: datetime(2026, 3, 2, 18, 0, tzinfo=UTC))


@pytest.fixture
def send(room: Room) -> Iterator[Send]:
    """Send a form of the page, with the key that the page holds; without a form, look at it."""
    door = Door(600.0, lambda: 0.0)
    app = make_app(room, door)
    app.testing = True
    with app.test_client() as browser:
        browser.get(f"/enter/{door.new_token()}", base_url=ADDRESS)

        def sent(path: str = "", **form: str) -> TestResponse:
            page = browser.get("/words", base_url=ADDRESS)
            key = re.search(r'name="form_key" value="([^"]+)"', page.text)
            assert key is not None
            if not form:
                return page
            data = {"form_key": key[1], **form}
            origin = {"Origin": ADDRESS}
            return browser.post(f"/words{path}", base_url=ADDRESS, headers=origin, data=data)

        yield sent


def test_a_word_is_added_and_removed(send: Send, room: Room) -> None:
    assert "No words of your own yet" in send().text
    done = send(kind="drill", name="sled push", other="push the sled")
    assert done.status_code == 303
    assert "sled push" in send().text
    own = load_own_words(room.house.own_words_file)
    assert own.drills == {"sled push": ["sled push", "push the sled"]}
    assert "sled push" in room.house.language.drills
    assert send("/remove", kind="drill", name="sled push").status_code == 303
    assert load_own_words(room.house.own_words_file).is_empty


def test_a_word_that_could_be_mistaken_is_added_only_when_asked_twice(
    send: Send, room: Room
) -> None:
    shown = send(kind="drill", name="wall slides")
    assert shown.status_code == 409
    assert "could be mistaken" in shown.text
    assert not room.house.own_words_file.exists()
    assert send(kind="drill", name="wall slides", anyway="yes").status_code == 303
    assert "wall slides" in load_own_words(room.house.own_words_file).drills


def test_what_cannot_be_said_is_refused_in_words(send: Send, room: Room) -> None:
    refused = send(kind="cue", name="<b>3 times</b>")
    assert refused.status_code == 422
    assert "write every word in letters" in refused.text
    assert "<b>3" not in refused.text
    assert send(kind="sport", name="sled push").status_code == 404
    assert not room.house.own_words_file.exists()


def test_what_cannot_be_added_stays_in_its_fields(send: Send) -> None:
    answer = send(kind="cue", name="press 7 down", other="push")
    assert answer.status_code == 422
    assert '<option value="cue" selected>' in answer.text
    assert 'value="press 7 down"' in answer.text
    assert 'value="push"' in answer.text
    assert 'id="name" name="name" maxlength="40" autocomplete="off" value=""' in send().text
