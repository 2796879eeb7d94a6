"""Slips in `voicelog review`: what waits for its answer is never lost or replaced unsaid."""

import io
from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path

import pytest
from rich.console import Console

from voicelog.audio.base import Samples
from voicelog.cli.review import Review
from voicelog.corrections.room import Room
from voicelog.errors import AudioError
from voicelog.records.content import Trial
from voicelog.settings.fields import Settings
from voicelog.store.base import Store
from voicelog.store.memory import MemoryStore
from voicelog.wiring import House

VISIT = "2026-03-02-1"
GAP = "g 3"
"""Goes to the entry "gap": pain 0, heard unsurely."""


class NoSoundCard:
    """A player on a machine that cannot play."""

    def play(self, samples: Samples, rate_hz: int) -> None:
        raise AudioError("There is no sound card", do="Plug one in")


@pytest.fixture(scope="module")
def room(tmp_path_factory: pytest.TempPathFactory) -> Room:
    folder: Path = tmp_path_factory.mktemp("review")
    house = House(Settings(data_folder=folder, practitioner="lee"))
    return Room(house, lambda: datetime(2026, 3, 2, 18, 0, tzinfo=UTC))


@pytest.fixture
def store(dictated: Callable[[Store], str]) -> MemoryStore:
    store = MemoryStore()
    dictated(store)
    return store


@pytest.fixture
def review(room: Room, store: MemoryStore) -> Callable[..., str]:
    """Give lines to a review and get what it printed."""

    def run(*lines: str) -> str:
        console = Console(file=io.StringIO(), width=200, highlight=False)
        Review(room, store, VISIT, NoSoundCard(), console).run(lines)
        assert isinstance(console.file, io.StringIO)
        return console.file.getvalue()

    return run


def _gap(store: MemoryStore) -> tuple[int | None, int | None]:
    content = store.history("gap")[-1].content
    assert isinstance(content, Trial)
    return content.pain, content.range_deg


@pytest.mark.parametrize("second", ["40 deg", "d wrong ankle", "2"])
def test_a_second_wish_says_that_the_first_was_not_saved(
    second: str, review: Callable[..., str], store: MemoryStore
) -> None:
    assert "What was proposed before this was not saved" in review(GAP, "pain 9", second, "x")
    assert "was not saved" not in review(GAP, "pain 9", "x", second, "x")
    assert len(store.history("gap")) == 2


@pytest.mark.parametrize("slip", ["7", "p", "xyzzy", "g 99"])
def test_after_a_slip_the_yes_is_still_for_what_was_proposed(
    slip: str, review: Callable[..., str], store: MemoryStore
) -> None:
    told = review(GAP, "pain 9", slip, "a")
    assert told.count("a: save it, x: leave it as it was.") == 2
    assert _gap(store) == (9, 16)


def test_a_note_loses_its_words_to_no_slip(review: Callable[..., str], store: MemoryStore) -> None:
    assert "take the note out" in review("g 4", "=", "a")
    assert len(store.history("note")) == 2
