"""Slips of a tired hand at the desk, in a real browser: held keys, double clicks, other windows."""

from typing import TYPE_CHECKING

import numpy as np
import pytest

from tests.end_to_end.at_desk import VISIT, AtDesk, Fill
from voicelog.audio.base import RATE_HZ
from voicelog.audio.clips import to_flac
from voicelog.corrections.room import Room
from voicelog.desk.app import make_app
from voicelog.desk.door import Door
from voicelog.desk.serve import Server
from voicelog.records.content import Trial
from voicelog.store.base import Clip

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Dialog


def _pain(desk: AtDesk, entry_id: str) -> int | None:
    content = desk.history(entry_id)[-1].content
    assert isinstance(content, Trial)
    return content.pain


def test_the_key_that_affirms_affirms_what_is_shown(desk: AtDesk) -> None:
    desk.open(f"/visits/{VISIT}#entry-gap")
    desk.press_and_go("1")
    desk.press_and_go("a")
    assert _pain(desk, "gap") == 3


def test_enter_held_too_long_saves_nothing_unseen(desk: AtDesk) -> None:
    desk.open(f"/visits/{VISIT}#entry-gap")
    desk.press("t")
    keyboard = desk.page.keyboard
    keyboard.type("pain 4")
    with desk.page.expect_navigation():
        keyboard.down("Enter")
    assert desk.focus == "Affirm and save a"
    for _ in range(3):  # down again without up is what a key that is held sends
        keyboard.down("Enter")
    desk.page.wait_for_timeout(300)
    keyboard.up("Enter")
    assert len(desk.history("gap")) == 2
    desk.press_and_go("Enter")
    assert _pain(desk, "gap") == 4


def test_a_double_click_is_one_wish(desk: AtDesk) -> None:
    desk.open()
    sent: list[str] = []
    desk.page.on("request", lambda asked: sent.append(asked.method))
    with desk.page.expect_navigation():
        desk.page.evaluate(
            "(() => { const affirm = document.querySelector('#entry-retest .main');"
            " affirm.click(); setTimeout(() => affirm.click(), 20); })()"
        )
    desk.page.wait_for_selector("#entry-retest .saved")
    assert sent.count("POST") == 1
    assert desk.page.query_selector("[role=alert]") is None


def test_a_key_on_another_record_asks_before_typed_words_go(desk: AtDesk) -> None:
    asked: list[str] = []

    def stay(dialog: "Dialog") -> None:
        asked.append(dialog.type)
        dialog.dismiss()

    desk.page.on("dialog", stay)
    desk.open(f"/visits/{VISIT}#entry-note")
    desk.press("t")
    desk.page.keyboard.type("more ")
    desk.page.focus("#entry-retest")
    desk.press("a")
    desk.page.wait_for_timeout(300)
    assert asked == ["beforeunload"]
    assert desk.page.input_value("#text-note").startswith("more ")
    assert len(desk.history("retest")) == 1


def test_keys_of_a_korean_keyboard_are_the_same_keys(desk: AtDesk) -> None:
    """On a keyboard with two sets of Hangul the key A gives ㅁ (KS X 5002, from memory)."""
    desk.open()
    with desk.page.expect_navigation():
        desk.page.evaluate(
            "document.activeElement.dispatchEvent(new KeyboardEvent('keydown',"
            " { key: 'ㅁ', code: 'KeyA', bubbles: true, cancelable: true }))"
        )
    assert desk.history("retest")[-1].status == "confirmed"


def test_one_key_plays_all_that_was_said_and_arrows_seek(desk: AtDesk) -> None:
    with desk.room.store() as store:
        record = store.history("gap")[-1]
        heard = record.evidence[0].model_copy(update={"text": "correction pain two"})
        content = record.content.model_copy(update={"pain": 2})
        long = Clip(to_flac(np.zeros(3 * RATE_HZ, np.int16)), heard.text, 3.0)
        store.append(record.propose(content, heard, record.at, newest=2), (long,))
    desk.open(f"/visits/{VISIT}#entry-gap")
    played: list[str] = []
    desk.page.on("request", lambda asked: played.append(asked.url[-7:]))
    desk.press("p")
    desk.page.wait_for_selector("#entry-gap li:nth-child(2) .playing", timeout=5000)
    desk.press("ArrowRight")
    desk.page.wait_for_selector("#entry-gap:not(:has(.playing))", timeout=2000)
    sounds = dict.fromkeys(name for name in played if name.startswith("sound"))
    assert list(sounds) == ["sound/0", "sound/1"]
    desk.page.click("#entry-gap li:nth-child(2) .wave", position={"x": 90, "y": 10})
    desk.page.wait_for_selector("#entry-gap li:nth-child(2) rect:not([width='0'])")
    width = "document.querySelector('#entry-gap li:nth-child(2) rect').getAttribute('width')"
    assert float(desk.page.evaluate(width)) > 288 / 3


@pytest.mark.parametrize("lock", [False, True], ids=["used", "locked"])
def test_windows_are_open_and_locked_together(
    chromium: "Browser", room: Room, dictated: Fill, lock: bool
) -> None:
    room.house.settings.store_file.unlink(missing_ok=True)
    with room.store() as store:
        dictated(store)
    door = Door(4.0)
    server = Server(make_app(room, door))
    context = chromium.new_context()
    left, used = context.new_page(), context.new_page()
    left.goto(f"{server.address}/enter/{door.new_token()}")
    left.goto(f"{server.address}/visits/{VISIT}")
    used.goto(f"{server.address}/visits/{VISIT}")
    if lock:
        used.click("#lock button")
        left.wait_for_url("**/locked", timeout=2000)
    else:
        for _ in range(12):
            used.keyboard.press("ArrowDown")
            used.wait_for_timeout(500)
        assert left.url.endswith(VISIT)
        server.close()
        used.wait_for_timeout(1200)
        used.keyboard.press("ArrowDown")
        used.wait_for_selector("#told >> text=does not answer")
    context.close()
    if lock:
        server.close()
