"""How quick the desk is with many visits: `python tests/benchmarks/desk_speed.py [VISITS]`.

Prints, for each page, the median and the slowest of ten requests through a real local server.
"""

import http.client
import statistics
import sys
import tempfile
import time
from datetime import UTC, datetime, timedelta
from pathlib import Path
from urllib.parse import urlencode, urlsplit

from voicelog.corrections.room import Room
from voicelog.desk.app import make_app
from voicelog.desk.door import Door
from voicelog.desk.serve import Server
from voicelog.records.content import Trial
from voicelog.records.entry import Affirmation, Entry
from voicelog.records.visit import Visit
from voicelog.settings.fields import Settings
from voicelog.store.base import Parcel
from voicelog.wiring import House

CLIENTS, TRIALS, TIMES = 400, 6, 10
BEGAN = datetime(2020, 1, 6, 8, 0, tzinfo=UTC)


def parcels(count: int) -> list[Parcel]:
    """Visits a few hours apart, each with some trials and one that was not affirmed."""
    return [_parcel(number) for number in range(count)]


def _parcel(number: int) -> Parcel:
    began = BEGAN + timedelta(hours=9 * number)
    visit = Visit(
        visit_id=f"{began.date().isoformat()}-{number}",
        client=f"C-{number % CLIENTS:03}",
        started_at=began,
        ended_at=began + timedelta(minutes=40),
    )
    versions = []
    for trial in range(TRIALS):
        at = began + timedelta(minutes=2 * trial)
        phase = ("baseline", "gap", "compression", "retest", "gap", "retest")[trial]
        content = Trial.model_validate(
            {"side": "left", "joint": "ankle", "motion": "dorsiflexion", "phase": phase}
            | {"range_deg": 10 + trial, "pain": 6 - trial}
        )
        first = Entry(
            entry_id=f"{number}-{trial}",
            visit_id=visit.visit_id,
            client=visit.client,
            status="unconfirmed",
            content=content,
            spoken_at=at,
            at=at,
            by="bench",
            why="dictated",
        )
        versions.append(first)
        if trial:
            versions.append(first.confirm(Affirmation(read_back="read back", by="voice"), at))
    return Parcel(visit, tuple(versions))


class Browser:
    """One connection to the desk that keeps its cookie."""

    def __init__(self, address: str) -> None:
        self._address = address
        self._connection = http.client.HTTPConnection(urlsplit(address).netloc)
        self._headers = {"Origin": address}

    def ask(self, path: str, form: dict[str, str] | None = None) -> str:
        """The page of that address, or after a form the page it leads to."""
        method, body = ("GET", None) if form is None else ("POST", urlencode(form))
        extra = {} if form is None else {"Content-Type": "application/x-www-form-urlencoded"}
        self._connection.request(method, path, body, self._headers | extra)
        answer = self._connection.getresponse()
        text = answer.read().decode()
        cookie = answer.headers.get("Set-Cookie")
        if cookie:
            self._headers["Cookie"] = cookie.split(";")[0]
        if answer.status == 303:
            return self.ask(answer.headers["Location"])
        if answer.status != 200:
            raise SystemExit(f"{path}: {answer.status}")
        return text


def measure(name: str, browser: Browser, path: str, form: dict[str, str] | None = None) -> None:
    """Print how long the page takes."""
    taken = []
    for _ in range(TIMES):
        start = time.perf_counter()
        browser.ask(path, form)
        taken.append(1000 * (time.perf_counter() - start))
    print(f"{name:<28} median {statistics.median(taken):6.1f} ms   slowest {max(taken):6.1f} ms")


def main() -> None:
    """Build a store, open the desk and measure."""
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 5000
    with tempfile.TemporaryDirectory() as folder:
        house = House(Settings(data_folder=Path(folder)))
        store = house.store()
        store.take_in(parcels(count), ())
        newest = store.visits()[-1].visit_id
        store.close()
        room, door = Room(house, lambda: datetime.now(UTC)), Door(600)
        room.warm_up()
        server = Server(make_app(room, door))
        browser = Browser(server.address)
        start = time.perf_counter()
        browser.ask(f"/enter/{door.new_token()}")
        first_ms = 1000 * (time.perf_counter() - start)
        print(f"{count} visits, {TRIALS} entries each")
        print(f"{'first page, the first time':<28} {first_ms:6.1f} ms")
        measure("first page", browser, "/visits")
        measure("last page", browser, "/visits?page=200")
        key = browser.ask("/visits").split('name="form_key" value="')[1].split('"')[0]
        measure("filter by client", browser, "/visits", {"form_key": key, "client": "C-014"})
        days = {"since": "2021-01-01", "until": "2021-03-31"}
        measure("filter by days", browser, "/visits", {"form_key": key, **days})
        measure("a visit", browser, f"/visits/{newest}")
        server.close()


if __name__ == "__main__":
    main()
