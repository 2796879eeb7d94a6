"""The desk in a real browser for everybody: no script, two windows, left alone, on a phone."""

import importlib.util
import os
import signal
import subprocess
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest

from voicelog.corrections.room import Room
from voicelog.desk.app import make_app
from voicelog.desk.door import Door
from voicelog.desk.serve import Server
from voicelog.settings.fields import Settings
from voicelog.wiring import House

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page
from tests.end_to_end.at_desk import VISIT, AtDesk, Fill

PHONE = {"width": 375, "height": 800}


ROOT = Path(__file__).parents[2]


def test_the_second_of_two_windows_is_told(desk: AtDesk) -> None:
    desk.open()
    other = desk.page.context.new_page()
    other.goto(desk.page.url)
    other.focus("#entry-retest")
    with other.expect_navigation():
        other.keyboard.press("a")
    desk.page.focus("#entry-retest")
    desk.press_and_go("a")
    assert "nothing was overwritten" in desk.page.inner_text("[role=alert]")
    assert len(desk.history("retest")) == 2
    desk.complaints[:] = [c for c in desk.complaints if "409" not in c]


def test_a_page_left_alone_locks_itself(chromium: "Browser", room: Room, dictated: Fill) -> None:
    room.house.settings.store_file.unlink(missing_ok=True)
    with room.store() as store:
        dictated(store)
    door = Door(2.0)
    server = Server(make_app(room, door))
    page = chromium.new_page()
    page.goto(f"{server.address}/enter/{door.new_token()}")
    page.goto(f"{server.address}/visits/{VISIT}")
    assert "C-014" in page.content()
    page.wait_for_url("**/locked", timeout=10_000)
    assert "C-014" not in page.content()
    page.goto(f"{server.address}/visits/{VISIT}")
    assert "C-014" not in page.content()
    page.close()
    server.close()


def test_it_works_without_any_script(desk: AtDesk, chromium: "Browser") -> None:
    context = chromium.new_context(java_script_enabled=False)
    page = context.new_page()
    page.goto(f"{desk.address}/enter/{desk.door.new_token()}")
    page.goto(f"{desk.address}/visits/{VISIT}")
    page.click("#entry-gap .picks button >> nth=0")
    page.click("text=Affirm and save")
    context.close()
    assert desk.history("gap")[-1].status == "confirmed"
    assert len(desk.history("gap")) == 4


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("size", [PHONE, {"width": 1100, "height": 900}], ids=["phone", "wide"])
def test_axe_finds_nothing_and_nothing_sticks_out(desk: AtDesk, scheme: Any, size: Any) -> None:
    """WCAG 2.2 levels A and AA by axe-core; reflow as in success criterion 1.4.10."""
    carrier = importlib.util.find_spec("axe_playwright_python")
    if carrier is None or carrier.origin is None:
        pytest.skip("axe-playwright-python is not installed")
    axe = (Path(carrier.origin).parent / "axe.min.js").read_text(encoding="utf-8")
    page = desk.page
    page.emulate_media(color_scheme=scheme)
    page.set_viewport_size(size)
    for path in ("/visits", f"/visits/{VISIT}", f"/visits/{VISIT}?open=gap#entry-gap", "/locked"):
        desk.open(path)
        page.evaluate("document.querySelectorAll('details').forEach((d) => { d.open = true; })")
        _check_page(page, axe, path)
    desk.open(f"/visits/{VISIT}#entry-gap")
    desk.press_and_go("2")
    _check_page(page, axe, "a proposal")
    desk.complaints[:] = [c for c in desk.complaints if "401" not in c]


def _check_page(page: "Page", axe: str, name: str) -> None:
    wide, window = page.evaluate("[document.documentElement.scrollWidth, innerWidth]")
    assert wide <= window, f"{name} is {wide} px wide in a window of {window}"
    page.evaluate(axe)
    found = page.evaluate("axe.run().then((r) => r.violations.map((v) => [v.id, v.nodes[0].html]))")
    assert found == [], name


def test_the_command_serves_a_page_until_it_is_closed(
    chromium: "Browser", tmp_path: Path, dictated: Fill
) -> None:
    house = House(Settings(data_folder=tmp_path))
    store = house.store()
    dictated(store)
    store.close()
    desk = subprocess.Popen(
        [sys.executable, "-m", "voicelog", "desk", "--no-browser", "--data", str(tmp_path)],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        cwd=ROOT,
        env=os.environ | {"VOICELOG_SETTINGS": str(tmp_path / "settings.toml")},
    )
    assert desk.stdout is not None
    assert desk.stdin is not None
    page = chromium.new_page()
    page.goto(desk.stdout.readline().strip())
    assert "C-014" in page.content()
    page.click("#lock button")
    assert "Locked" in page.inner_text("h1")
    desk.stdin.write("\n")
    desk.stdin.flush()
    page.goto(desk.stdout.readline().strip())
    assert "C-014" in page.content()
    page.close()
    desk.send_signal(signal.SIGINT)
    _, said = desk.communicate(timeout=20)
    assert desk.returncode == 0
    assert "The desk is closed" in said
    assert "Traceback" not in said
    assert "C-014" not in said
