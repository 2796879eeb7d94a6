"""The desk puts records right while a visit is still dictated: two real processes, one store.

Every request of the desk is answered, every record that was announced is there once, and what the
desk changed stands, whatever came first.
"""

import json
import os
import re
import subprocess
import sys
import threading
from collections.abc import Callable, Iterator
from contextlib import suppress
from html import unescape
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import requests
import soundfile

from audio_fixtures.manifest import load_manifest

ROOT = Path(__file__).parents[2]
RATE_HZ = 16_000
SPOKEN = ("r01", "c01", "r05", "c01", "r01", "c01")


@pytest.fixture(scope="module")
def visit(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Three dictations, each affirmed."""
    fixtures = {r.path.stem: r.path for r in load_manifest().recordings() if "slt" in str(r.path)}
    pause = np.zeros(2 * RATE_HZ, np.int16)
    path = tmp_path_factory.mktemp("sound") / "visit.flac"
    with soundfile.SoundFile(path, "w", RATE_HZ, 1) as file:
        for name in SPOKEN:
            file.write(pause)
            file.write(soundfile.read(fixtures[name], dtype="int16")[0])
        file.write(pause)
    return path


class Desk:
    """The desk as its own process, and somebody who reads page after page all the while."""

    def __init__(self, start: Callable[..., "subprocess.Popen[str]"]) -> None:
        self._process = start("desk", "--no-browser")
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


@pytest.fixture
def start(tmp_path: Path) -> Iterator[Callable[..., "subprocess.Popen[str]"]]:
    """Begin a command, its records encrypted and opened by a key on this machine."""
    begun: list[subprocess.Popen[str]] = []
    own = {
        "HOME": str(tmp_path),
        "XDG_CONFIG_HOME": str(tmp_path / ".config"),
        "XDG_CACHE_HOME": str(tmp_path.parent / "cache"),
        "VOICELOG_ENCRYPTED": "true",
        "VOICELOG_SETTINGS": str(tmp_path / "settings.toml"),
        "VOICELOG_DATA_FOLDER": str(tmp_path / "data"),
        "NO_PROXY": "127.0.0.1",
    }

    def begin(*arguments: str) -> "subprocess.Popen[str]":
        begun.append(
            subprocess.Popen(
                [sys.executable, "-m", "voicelog", *arguments], text=True, cwd=ROOT,
                stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.PIPE,
                env=os.environ | own,
            )
        )  # fmt: skip
        return begun[-1]

    yield begin
    for process in begun:
        with suppress(ProcessLookupError):
            process.kill()
        process.communicate()


def test_the_desk_corrects_while_a_visit_is_dictated_and_nothing_is_lost(
    voicelog: Callable[..., Any],
    start: Callable[..., "subprocess.Popen[str]"],
    visit: Path,
    tmp_path: Path,
) -> None:
    announced: list[str] = []
    visit_id = ""
    with Desk(start) as desk:
        listening = start(
            "listen", "--client", "C-014", "--screen-later", "--audio", str(visit), "--events"
        )
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
