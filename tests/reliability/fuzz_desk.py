"""The target of fuzzing that takes requests: the desk's pages and forms."""

import re
import sys
from datetime import timedelta
from pathlib import Path
from random import Random

ROOT = Path(__file__).parents[2]
sys.path.insert(0, str(ROOT))

from tests.reliability.fuzz_files import fill  # noqa: E402
from tests.reliability.fuzz_words import NINE, SPOKEN, TYPED, Run  # noqa: E402
from tests.reliability.mutation import damaged, damaged_words  # noqa: E402
from voicelog.corrections.room import Room  # noqa: E402
from voicelog.desk.app import make_app  # noqa: E402
from voicelog.desk.door import Door  # noqa: E402
from voicelog.settings.fields import Settings  # noqa: E402
from voicelog.wiring import House  # noqa: E402

ADDRESS = "http://127.0.0.1:5040"
WORDS = ("affirm", "left", "ankle", "pain", "11", "-1", "on", "", "true", "999999999999999999999")


class _Crawler:
    """Somebody inside who sends to every address anything at all."""

    def __init__(self, folder: Path) -> None:
        house = House(Settings(data_folder=folder, encrypted=False))
        store = house.store()
        fill(store)
        self._visits = [visit.visit_id for visit in store.visits()]
        store.close()
        self._door = Door(1e9, lambda: 0.0)
        self._app = make_app(Room(house, lambda: NINE + timedelta(days=3)), self._door)
        self._app.testing = True
        self._browser = self._app.test_client()
        self._browser.get(f"/enter/{self._door.new_token()}", base_url=ADDRESS)
        self._page = self._get("/visits")
        self._rules = [str(rule) for rule in self._app.url_map.iter_rules()]
        self._names: tuple[str, ...] = ("affirmed", "line", "text", "why", "sure", "client")

    def __call__(self, chance: Random) -> None:
        path = self._path(chance)
        if chance.random() < 0.4:
            page = self._get(path)
        else:
            form = {"form_key": self._key(), **self._form(chance)}
            answer = self._browser.post(
                path, base_url=ADDRESS, headers={"Origin": ADDRESS}, data=form
            )
            assert answer.status_code < 500, (path, form)
            page = answer.text
        if 'name="form_key"' in page:
            self._page = page
            self._names = tuple({*self._names, *re.findall(r'name="(\w+)"', page)})[:200]
        elif 'name="form_key"' not in self._get("/visits"):  # locked, or the door was thrown shut
            self._browser.get(f"/enter/{self._door.new_token()}", base_url=ADDRESS)
            self._page = self._get("/visits")

    def _get(self, path: str) -> str:
        answer = self._browser.get(path, base_url=ADDRESS)
        assert answer.status_code < 500, path
        return "" if answer.mimetype != "text/html" else answer.text

    def _key(self) -> str:
        found = re.search(r'name="form_key" value="([^"]+)"', self._page)
        return found[1] if found else ""

    def _path(self, chance: Random) -> str:
        if chance.random() < 0.4:
            linked = re.findall(r'(?:href|action)="(/[^"#]*)"', self._page)
            if linked:
                return str(chance.choice(linked))
        filled = chance.choice(self._rules)
        values = {"visit_id": self._visits, "entry_id": [f"d0e{n}" for n in range(4)]}
        for name in re.findall(r"<(?:\w+:)?(\w+)>", filled):
            known = values.get(name, ["slots", "type", "pick", "undo", "1", "affirm", "text"])
            value = chance.choice([*known, *WORDS, "..", "%00", "é"]) or "x"
            filled = re.sub(rf"<(?:\w+:)?{name}>", value.replace("\\", ""), filled)
        if chance.random() < 0.2:
            noise = damaged(filled.encode(), chance).decode("latin-1")
            filled = "/" + re.sub(r"[\x00-\x20#?]", "", noise).lstrip("/")
        if chance.random() < 0.3:
            filled += f"?{chance.choice(('page', 'open', 'x'))}={chance.choice(WORDS)}"
        return filled

    def _form(self, chance: Random) -> dict[str, object]:
        return {
            chance.choice(self._names): self._value(chance) for _ in range(chance.randint(0, 6))
        }

    def _value(self, chance: Random) -> object:
        found = re.findall(r'value="([^"]*)"', self._page)
        match chance.randrange(5):
            case 0 if found:
                return chance.choice(found)
            case 1:
                return [chance.choice(WORDS) for _ in range(3)]
            case 2:
                return damaged_words(chance.choice((*TYPED, *SPOKEN)), WORDS, chance)
            case 3:
                return damaged(b'{"kind": "record"}', chance).decode("latin-1")
            case _:
                return chance.choice(WORDS)


def desk(folder: Path) -> Run:
    """Requests from somebody who has come in by the door."""
    return _Crawler(folder)
