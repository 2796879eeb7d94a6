"""The desk in a real browser (Chromium, driven by Playwright), mostly by keyboard alone.

Skipped where the extra "browser" or a Chromium is missing. Accessibility is checked by axe-core,
the engine that the package axe-playwright-python carries.
"""

from pathlib import Path
from typing import TYPE_CHECKING

from voicelog.records.content import Note, Trial

if TYPE_CHECKING:
    pass
from tests.end_to_end.at_desk import VISIT, AtDesk


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
    assert desk.focus == "Affirm and save a"
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
