"""The desk puts records right while a visit is still dictated: two real processes, one store.

Every request of the desk is answered, every record that was announced is there once, and what the
desk changed stands, whatever came first.
"""

import json
import re
import subprocess
import threading
from collections.abc import Callable
from html import unescape
from pathlib import Path
from typing import Any

import requests

SPOKEN = ("r01", "c01", "r05", "c01", "r01", "c01")


class Desk:
    """The desk as its own process, and somebody who reads page after page all the while."""

    def __init__(self, process: "subprocess.Popen[str]") -> None:
        self._process = process
        assert self._process.stdout is not None
        address = self._process.stdout.readline().strip()
        self._root = address.split("/enter/")[0]
        self._browser = requests.Session()
        self._browser.trust_env = False
        assert self._browser.get(address).status_code == 200
        self.statuses: list[int] = []
        self._over = threading.Event()
        self._reading = threading.Thread(target=self._read)

    def __enter__(self) -> "Desk":
        self._reading.start()
        return self

    def __exit__(self, *_: object) -> None:
        self._over.set()
        self._reading.join()
        self._process.terminate()
        self._process.communicate()

    def _read(self) -> None:
        cookies = self._browser.cookies.copy()
        while not self._over.wait(0.2):
            answer = requests.get(f"{self._root}/visits", cookies=cookies, timeout=60)
            self.statuses.append(answer.status_code)

    def page(self, path: str) -> str:
        answer = self._browser.get(self._root + path, timeout=60)
        assert answer.status_code == 200
        return answer.text

    def correct(self, visit_id: str, saved: dict[str, Any], line: str) -> None:
        """Type what is right, read what it would become, affirm."""
        path = f"/visits/{visit_id}/entries/{saved['entry_id']}/type"
        form = {"line": line, "seen": saved["version"], "form_key": self._found("form_key")}
        shown = self._send(path, form)
        found = re.search(r'name="affirmed" value="([^"]+)"', shown)
        assert found is not None, shown
        assert "Saved" in self._send(path, {**form, "affirmed": unescape(found[1])})

    def _found(self, name: str) -> str:
        found = re.search(f'name="{name}" value="([^"]+)"', self.page("/visits"))
        assert found is not None
        return found[1]

    def _send(self, path: str, form: dict[str, Any]) -> str:
        own = {"Origin": self._root}
        answer = self._browser.post(self._root + path, data=form, headers=own, timeout=60)
        assert answer.status_code == 200, answer.text
        return answer.text


def test_the_desk_corrects_while_a_visit_is_dictated_and_nothing_is_lost(
    voicelog: Callable[..., Any],
    start: Callable[..., "subprocess.Popen[str]"],
    spoken: Callable[..., Path],
    tmp_path: Path,
) -> None:
    announced: list[str] = []
    visit_id = ""
    sound = str(spoken(*SPOKEN, silence_s=2))
    listen = ("listen", "--client", "C-014", "--screen-later", "--audio", sound, "--events")
    desk_process = start("desk", "--no-browser", folder=tmp_path, stdin=subprocess.PIPE)
    with Desk(desk_process) as desk:
        listening = start(*listen, folder=tmp_path)
        assert listening.stdout is not None
        for line in listening.stdout:
            row = json.loads(line)
            if row["event"] != "saved":
                continue
            visit_id = visit_id or re.findall(r"/visits/([\w-]+)", desk.page("/visits"))[0]
            desk.correct(visit_id, row, f"pain {len(announced) + 1}")
            announced.append(row["entry_id"])
        assert listening.wait(60) == 0
        page = desk.page(f"/visits/{visit_id}")
        assert all(f'id="entry-{each}"' in page for each in announced)
        assert len(desk.statuses) > 3
        assert set(desk.statuses) == {200}
    assert len(announced) == len(SPOKEN) // 2
    listed = json.loads(voicelog("export", "last", "--format", "json", folder=tmp_path).stdout)
    kept = {row["entry_id"]: row["content"]["pain"] for row in listed["records"]}
    assert [kept[each] for each in announced] == [1, 2, 3]
    assert len(listed["records"]) == len(announced)
    assert voicelog("trail", folder=tmp_path).returncode == 0
