"""The desk in a real browser (Chromium, driven by Playwright), mostly by keyboard alone.

Skipped where the extra "browser" or a Chromium is missing. Accessibility is checked by axe-core,
the engine that the package axe-playwright-python carries.
"""

import importlib.util
import os
import shutil
import signal
import subprocess
import sys
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest

from voicelog.corrections.room import Room
from voicelog.desk.app import make_app
from voicelog.desk.door import Door
from voicelog.desk.serve import Server
from voicelog.records.content import Note, Trial
from voicelog.records.entry import Entry
from voicelog.settings import Settings
from voicelog.store.base import Store
from voicelog.wiring import House

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page

Fill = Callable[[Store], str]
FLAGS = (
    "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run",
    "--disable-background-networking", "--disable-component-update", "--disable-sync",
    "--autoplay-policy=no-user-gesture-required",
)  # fmt: skip
PHONE = {"width": 375, "height": 800}
VISIT = "2026-03-02-1"
ROOT = Path(__file__).parents[2]


@pytest.fixture(scope="module")
def chromium() -> Iterator["Browser"]:
    api = pytest.importorskip("playwright.sync_api", reason="the extra browser is not installed")
    found = next(filter(None, map(shutil.which, ("chromium", "chromium-browser"))), None)
    if found is None:
        pytest.skip("there is no Chromium on this machine")
    with api.sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=found, args=list(FLAGS))
        yield browser
        browser.close()


@pytest.fixture(scope="module")
def room(tmp_path_factory: pytest.TempPathFactory) -> Room:
    house = House(Settings(data_folder=tmp_path_factory.mktemp("desk"), practitioner="lee"))
    return Room(house, lambda: datetime(2026, 3, 2, 18, 0, tzinfo=UTC))


@dataclass
class AtDesk:
    """A page of the desk, and what the browser complained about or asked other hosts for."""

    page: "Page"
    door: Door
    room: Room
    address: str
    complaints: list[str]
    elsewhere: list[str]

    def open(self, path: str = f"/visits/{VISIT}") -> None:
        self.page.goto(self.address + path)

    def press(self, *keys: str) -> None:
        """Press keys one after the other; the page stays."""
        for key in keys:
            self.page.keyboard.press(key)

    def press_and_go(self, key: str) -> None:
        """Press a key that leads to a new page."""
        with self.page.expect_navigation():
            self.page.keyboard.press(key)

    @property
    def focus(self) -> str:
        """The id, or else the words, of what has the focus."""
        return str(
            self.page.evaluate(
                "document.activeElement.id || document.activeElement.textContent.trim()"
            )
        )

    def history(self, entry_id: str) -> tuple[Entry, ...]:
        with self.room.store() as store:
            return store.history(entry_id)


@pytest.fixture
def desk(chromium: "Browser", room: Room, dictated: Fill) -> Iterator[AtDesk]:
    """The desk with one visit, and nothing wrong in the browser at the end."""
    room.house.settings.store_file.unlink(missing_ok=True)
    with room.store() as store:
        dictated(store)
    door = Door(600)
    server = Server(make_app(room, door))
    context = chromium.new_context(accept_downloads=True)
    context.set_default_timeout(10_000)
    page = context.new_page()
    at = AtDesk(page, door, room, server.address, [], [])
    page.on("console", lambda message: at.complaints.append(message.text))
    page.on("pageerror", lambda error: at.complaints.append(str(error)))
    page.on(
        "request",
        lambda asked: None if asked.url.startswith(at.address) else at.elsewhere.append(asked.url),
    )
    page.goto(f"{server.address}/enter/{door.new_token()}")
    yield at
    context.close()
    server.close()
    assert at.complaints == []
    assert at.elsewhere == []


def test_from_the_list_to_a_visit_by_keyboard(desk: AtDesk) -> None:
    page = desk.page
    assert "/enter/" not in page.url
    page.focus("#client")
    page.keyboard.type("c-01")
    desk.press_and_go("Enter")
    assert page.inner_text("[role=status]") == "1 visit"
    for _ in range(30):
        if page.evaluate("document.activeElement.matches('.visits a')"):
            break
        desk.press("Tab")
    desk.press_and_go("Enter")
    assert page.inner_text("h1").startswith("C-014")
    assert desk.focus == "entry-retest"


def test_two_keys_affirm_what_was_heard_otherwise(desk: AtDesk) -> None:
    desk.open()
    desk.press("ArrowDown", "ArrowDown")
    assert desk.focus == "entry-gap"
    desk.press_and_go("1")
    assert desk.focus == "Affirm and save"
    desk.press_and_go("Enter")
    assert desk.focus == "entry-gap"
    newest = desk.history("gap")[-1]
    assert isinstance(newest.content, Trial)
    assert (newest.status, newest.content.pain) == ("confirmed", 3)
    assert "pain 0 → 3" in desk.page.inner_text("#entry-gap .result")
    # Put there after the page has opened, so that a screen reader reads it.
    desk.page.wait_for_selector("#results p:not([data-told]) >> text=0 → 3", state="attached")


def test_typing_marks_doubts_and_undo_takes_it_back(desk: AtDesk) -> None:
    before = desk.history("gap")[-1].content
    desk.open(f"/visits/{VISIT}#entry-gap")
    desk.press("t")
    desk.page.keyboard.type("pain 4 sharpp xyzzy")
    desk.press_and_go("Enter")
    assert desk.page.inner_text("mark.doubt >> nth=0")
    assert desk.page.inner_text("mark.unread") == "xyzzy"
    desk.press_and_go("Enter")
    assert desk.history("gap")[-1].content != before
    desk.press_and_go("u")
    desk.press_and_go("Enter")
    assert desk.history("gap")[-1].content == before
    assert len(desk.history("gap")) == 6


def test_affirming_what_was_left_and_going_to_the_next(desk: AtDesk) -> None:
    desk.open()
    desk.press_and_go("a")
    assert desk.history("retest")[-1].status == "confirmed"
    assert desk.focus == "entry-retest"
    desk.press("n")
    assert desk.focus == "entry-half"


def test_discarding_takes_two_keys_and_escape_leaves_it(desk: AtDesk) -> None:
    desk.open()
    desk.press_and_go("d")
    desk.press_and_go("Escape")
    assert len(desk.history("retest")) == 1
    assert desk.focus == "entry-retest"
    desk.press_and_go("d")
    desk.press_and_go("Enter")
    assert desk.history("retest")[-1].status == "dropped"
    desk.page.focus("#entry-retest")
    desk.press_and_go("u")
    assert desk.history("retest")[-1].status == "unconfirmed"


def test_a_slot_is_chosen_from_lists_by_keyboard(desk: AtDesk) -> None:
    desk.open(f"/visits/{VISIT}#entry-half")
    desk.press_and_go("c")
    assert desk.focus == "side-half"
    desk.page.select_option("#movement-half", label="shoulder internal rotation")
    desk.page.focus("#phase-half")
    desk.page.keyboard.type("base")
    desk.page.focus("#pain-half")
    desk.press_and_go("Enter")
    desk.press_and_go("Enter")
    assert desk.history("half")[-1].content == Trial(
        side="right", joint="shoulder", motion="internal rotation", phase="baseline", pain=5
    )


def test_the_sound_plays_and_stops_with_one_key(desk: AtDesk) -> None:
    desk.open(f"/visits/{VISIT}#entry-gap")
    with desk.page.expect_response("**/sound/0") as answer:
        desk.press("p")
    assert answer.value.ok
    desk.page.wait_for_selector("#entry-gap .said >> text=Stop")
    desk.page.wait_for_selector("#entry-gap .said >> text=Play")
    assert desk.page.inner_text("#told") == ""


def test_letters_typed_into_a_note_are_no_keys(desk: AtDesk) -> None:
    desk.open(f"/visits/{VISIT}#entry-note")
    desk.press("t")
    assert desk.focus == "text-note"
    desk.press("Control+a")
    desk.page.keyboard.type("add 1 up and down")
    desk.page.check("#checked-note")
    with desk.page.expect_navigation():
        desk.page.click("#entry-note .main")
    assert desk.history("note")[-1].content == Note(text="add 1 up and down", checked=True)


def test_an_export_is_one_click(desk: AtDesk) -> None:
    desk.open()
    with desk.page.expect_download() as saved:
        desk.page.click("text=markdown >> nth=0")
    assert saved.value.suggested_filename == f"{VISIT}.md"
    assert "left ankle dorsiflexion" in Path(saved.value.path()).read_text(encoding="utf-8")


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
