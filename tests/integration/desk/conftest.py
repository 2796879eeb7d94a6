"""Somebody at the desk, with one visit in the store."""

import re
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from datetime import UTC, datetime
from html import unescape

import pytest
from flask.testing import FlaskClient
from werkzeug.test import TestResponse

from voicelog.corrections.room import Room
from voicelog.desk.app import make_app
from voicelog.desk.door import Door
from voicelog.records.entry import Entry
from voicelog.settings.fields import Settings
from voicelog.store.base import Store
from voicelog.wiring import House

Fill = Callable[[Store], str]
ADDRESS = "http://127.0.0.1:5040"
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

    def cards(self, path: str) -> list[str]:
        """The entries of a visit's page, in the order shown."""
        text = self.get(path).text
        return re.findall(r'<article class="card[^"]*" id="entry-([^"]+)"', text)

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
