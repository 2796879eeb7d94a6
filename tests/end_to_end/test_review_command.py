"""`voicelog review` as a person or a script would run it."""

import json
import os
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

from voicelog.settings.fields import Settings
from voicelog.store.base import Store
from voicelog.wiring import House

ROOT = Path(__file__).parents[2]
Run = Callable[..., subprocess.CompletedProcess[str]]


def _review(folder: Path, visit: str, lines: str) -> subprocess.CompletedProcess[str]:
    own = {"VOICELOG_SETTINGS": str(folder / "settings.toml"), "COLUMNS": "120"}
    return subprocess.run(
        [sys.executable, "-m", "voicelog", "review", visit, "--data", str(folder / "data")],
        input=lines,
        capture_output=True,
        text=True,
        cwd=ROOT,
        env=os.environ | own,
        check=False,
        timeout=120,
    )


def test_a_script_puts_a_visit_right_and_the_export_shows_it(
    tmp_path: Path, dictated: Callable[[Store], str], voicelog: Run
) -> None:
    store = House(Settings(data_folder=tmp_path / "data")).store()
    visit = dictated(store)
    store.close()
    done = _review(tmp_path, "last", "a\ng 3\npain 3\na\nq\n")
    assert done.returncode == 0, done.stderr
    assert "Saved: left ankle, dorsiflexion, retest" in done.stdout
    exported = json.loads(voicelog("export", visit, "--format", "json", folder=tmp_path).stdout)
    by_id = {record["entry_id"]: record for record in exported["records"]}
    assert by_id["retest"]["affirmed"]["by"] == "desk"
    assert by_id["gap"]["content"]["pain"] == 3
    assert "half" not in by_id


def test_an_unknown_visit_is_said(tmp_path: Path) -> None:
    House(Settings(data_folder=tmp_path / "data")).store().close()
    done = _review(tmp_path, "2026-03-02-1", "")
    assert done.returncode == 1
    assert "There is no visit" in done.stderr
    assert "Traceback" not in done.stderr
