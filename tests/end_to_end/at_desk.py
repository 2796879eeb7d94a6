"""Somebody at the desk in a real browser, by keyboard."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING

from voicelog.corrections.room import Room
from voicelog.desk.door import Door
from voicelog.records.entry import Entry
from voicelog.store.base import Store

if TYPE_CHECKING:
    from playwright.sync_api import Page


Fill = Callable[[Store], str]


VISIT = "2026-03-02-1"


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
