"""`voicelog review`, line by line: the same corrections without a browser."""

import io
from collections.abc import Callable, Iterator
from datetime import UTC, datetime
from pathlib import Path

import numpy as np
import pytest
from rich.console import Console

from voicelog.audio.base import RATE_HZ, Samples
from voicelog.audio.player import SpeakerPlayer
from voicelog.cli.review import Review
from voicelog.corrections.room import Room
from voicelog.errors import AudioError
from voicelog.records.content import Note, Trial
from voicelog.settings.fields import Settings
from voicelog.store.base import Store
from voicelog.store.memory import MemoryStore
from voicelog.wiring import House

Fill = Callable[[Store], str]
GAP = 3
"""Where the entry "gap" stands in the list of what needs a look."""


class Heard:
    """A player that keeps what it is given."""

    def __init__(self) -> None:
        self.played: list[tuple[Samples, int]] = []

    def play(self, samples: Samples, rate_hz: int) -> None:
        self.played.append((samples, rate_hz))


@pytest.fixture(scope="module")
def room(tmp_path_factory: pytest.TempPathFactory) -> Room:
    folder = tmp_path_factory.mktemp("review")
    house = House(Settings(data_folder=folder, practitioner="lee"))
    return Room(house, lambda: datetime(2026, 3, 2, 18, 0, tzinfo=UTC))


@pytest.fixture
def store(dictated: Fill) -> MemoryStore:
    store = MemoryStore()
    dictated(store)
    return store


@pytest.fixture
def review(room: Room, store: MemoryStore) -> Callable[..., str]:
    """Give lines to a review and get what it printed."""

    def run(*lines: str, player: Heard | SpeakerPlayer | None = None) -> str:
        console = Console(file=io.StringIO(), width=200, highlight=False)
        Review(room, store, "2026-03-02-1", player or Heard(), console).run(lines)
        assert isinstance(console.file, io.StringIO)
        return console.file.getvalue()

    return run


def _content(store: MemoryStore, entry_id: str) -> Trial:
    content = store.history(entry_id)[-1].content
    assert isinstance(content, Trial)
    return content


def test_it_begins_with_what_needs_a_look(review: Callable[..., str]) -> None:
    text = review()
    assert "4 of 6 need a look" in text
    assert "1  left ankle, dorsiflexion, retest" in text
    assert 'heard "retest eighteen degrees pain one", 90% sure' in text


def test_a_waiting_one_is_affirmed_with_one_key(
    review: Callable[..., str], store: MemoryStore
) -> None:
    assert "Saved: left ankle, dorsiflexion, retest" in review("a")
    newest = store.history("retest")[-1]
    assert newest.affirmed is not None
    assert (newest.affirmed.by, newest.by) == ("desk", "lee")


def test_a_reading_is_taken_by_its_number_and_affirmed(
    review: Callable[..., str], store: MemoryStore
) -> None:
    text = review(f"g {GAP}", "2", "a")
    assert "Range: 16 → 60" in text
    assert (_content(store, "gap").range_deg, _content(store, "gap").pain) == (60, 3)


def test_nothing_is_kept_without_an_affirmation(
    review: Callable[..., str], store: MemoryStore
) -> None:
    review(f"g {GAP}", "2", "x", "pain 9", "n", f"g {GAP}", "d wrong", "x", "q", "a")
    assert len(store.history("gap")) == 2


@pytest.mark.parametrize("leaving", ["q", "n", "", "g 2"])
def test_a_change_that_nobody_decided_on_is_asked_about_before_going_on(
    leaving: str, review: Callable[..., str], store: MemoryStore
) -> None:
    text = review(f"g {GAP}", "pain 9", leaving, "a")
    assert "Before you go on: what becomes of this?" in text
    assert text.count("a: save it, x: leave it as it was.") == 2
    assert _content(store, "gap").pain == 9


def test_a_change_left_open_at_the_end_is_said_not_to_be_kept(
    review: Callable[..., str], store: MemoryStore
) -> None:
    assert "was not kept, as no a came after it" in review(f"g {GAP}", "pain 9")
    assert "was not kept" not in review(f"g {GAP}", "pain 9", "x", "q")
    assert len(store.history("gap")) == 2


def test_a_record_that_stands_surely_is_not_affirmed_once_more(
    review: Callable[..., str], store: MemoryStore
) -> None:
    assert "Saved: left ankle" in review(f"g {GAP}", "a")  # it was heard unsurely
    assert len(store.history("gap")) == 4
    for at in (3, 4, 5, 6):  # the note, too, though nobody compared it with its sound
        assert "nothing to affirm" in review(f"g {at}", "a")
    assert {len(store.history(entry)) for entry in ("baseline", "drill", "note")} == {2}


def test_a_number_goes_to_the_same_entry_all_the_while(
    review: Callable[..., str], store: MemoryStore
) -> None:
    review(f"g {GAP}", "d said to a student", "a", "g 5", "d the wrong ankle", "a")
    taken_out = {e for e in ("gap", "baseline", "drill") if store.history(e)[-1].version == 3}
    assert taken_out == {"gap", "baseline"}


def test_shorthand_is_typed_with_its_doubts_shown(
    review: Callable[..., str], store: MemoryStore
) -> None:
    text = review(f"g {GAP}", "L ankle DF gap 4/10 sharpp xyzzy", "a")
    assert "check the spelling" in text
    assert "not read: xyzzy" in text
    assert _content(store, "gap").pain == 4


def test_undo_is_shown_and_affirmed(review: Callable[..., str], store: MemoryStore) -> None:
    before = _content(store, "gap")
    review(f"g {GAP}", "pain 9", "a", "u", "a")
    assert _content(store, "gap") == before
    assert len(store.history("gap")) == 6


def test_an_affirmation_is_undone_to_wait_again(
    review: Callable[..., str], store: MemoryStore
) -> None:
    assert "Waits again" in review("a", "u", "a")
    assert store.history("retest")[-1].status == "withdrawn"
    assert len(store.unconfirmed("2026-03-02-1")) == 2


def test_discarding_is_asked_and_taken_back(review: Callable[..., str], store: MemoryStore) -> None:
    assert "Its sound will be deleted" in review("d", "a")
    assert store.history("retest")[-1].status == "dropped"
    review("g 6", "u")
    assert store.history("retest")[-1].status == "unconfirmed"


def test_a_record_is_taken_out_with_a_reason(
    review: Callable[..., str], store: MemoryStore
) -> None:
    assert "Say why" in review(f"g {GAP}", "d")
    review(f"g {GAP}", "d said to a student", "a")
    assert store.history("gap")[-1].status == "withdrawn"
    assert store.history("gap")[-1].why == "said to a student"


def test_a_note_is_put_right_compared_and_made_a_record(
    review: Callable[..., str], store: MemoryStore
) -> None:
    text = review("g 4", "pain 3", "= left knee stiff", "a", "k", "a", "n")
    assert "found in it: joint knee" in text
    assert store.history("note")[-1].content == Note(text="left knee stiff", checked=True)
    review("g 6", "r L knee flexion baseline 4/10", "a")
    found = [r.content for r in store.records("2026-03-02-1") if "found in a note" in r.why]
    assert found == [Trial(side="left", joint="knee", motion="flexion", phase="baseline", pain=4)]


def test_a_note_typed_beside_a_trial_has_its_time_and_no_sound(
    review: Callable[..., str], store: MemoryStore
) -> None:
    told = review(f"g {GAP}", "r note: stopped, sat down", "a")
    assert "Saved as a new record: note, stopped, sat down" in told
    beside, typed = store.history("gap")[-1], store.records("2026-03-02-1")
    (note,) = [e for e in typed if isinstance(e.content, Note) and "sat down" in e.content.text]
    assert (note.spoken_at, note.evidence) == (beside.spoken_at, ())
    assert store.clips(note.entry_id) == ()
    assert note.content == Note(text="stopped, sat down", checked=True)


def test_markup_in_a_note_stays_words(review: Callable[..., str], store: MemoryStore) -> None:
    assert "Saved: note, [/] [red]stiff" in review("g 4", "= [/] [red]stiff", "a")
    assert store.history("note")[-1].content == Note(text="[/] [red]stiff")


def test_what_is_not_whole_is_not_kept(review: Callable[..., str], store: MemoryStore) -> None:
    text = review("g 2", "pain 4", "a")
    assert "Still missing" in text
    assert "Not whole yet" in text
    assert len(store.history("half")) == 1


def test_a_change_made_elsewhere_meanwhile_is_told(room: Room, store: MemoryStore) -> None:
    def lines() -> Iterator[str]:
        yield from (f"g {GAP}", "pain 9")
        other = _content(store, "gap").model_copy(update={"pain": 2})
        room.changes(store).correct("gap", 2, other, "elsewhere")
        yield "a"

    console = Console(file=io.StringIO(), width=200)
    Review(room, store, "2026-03-02-1", Heard(), console).run(lines())
    assert isinstance(console.file, io.StringIO)
    assert "nothing was overwritten" in console.file.getvalue()
    assert _content(store, "gap").pain == 2


def test_the_sound_is_played_as_it_was_kept(review: Callable[..., str]) -> None:
    player = Heard()
    review("p", player=player)
    samples, rate_hz = player.played[0]
    assert rate_hz == RATE_HZ
    spectrum = np.abs(np.fft.rfft(samples))
    assert np.argmax(spectrum) * rate_hz / len(samples) == 220  # the tone that was kept


def test_without_a_sound_card_it_says_so_and_goes_on(
    review: Callable[..., str], store: MemoryStore, monkeypatch: pytest.MonkeyPatch
) -> None:
    def none(self: SpeakerPlayer, samples: Samples, rate_hz: int) -> None:
        raise AudioError("There is no sound card", do="Plug one in")

    monkeypatch.setattr(SpeakerPlayer, "play", none)
    text = review("p", "a", player=SpeakerPlayer())
    assert "There is no sound card" in text
    assert store.history("retest")[-1].status == "confirmed"


@pytest.mark.parametrize(
    "line", ["g 99", "g x", "g", "7", "[bold]x[/bold]", "\x00", "[/]", "=", "r"]
)
def test_lines_that_mean_nothing_change_nothing(
    line: str, review: Callable[..., str], store: MemoryStore
) -> None:
    before = store.parcel("2026-03-02-1")
    review(line, f"g {GAP}", line, "g 4", line)
    assert store.parcel("2026-03-02-1") == before


def test_a_visit_without_records_is_said(room: Room, tmp_path: Path) -> None:
    store = MemoryStore()
    visit = store.open_visit("C-014", datetime(2026, 3, 2, 9, tzinfo=UTC))
    console = Console(file=io.StringIO())
    Review(room, store, visit.visit_id, Heard(), console).run(["a", "p"])
    assert isinstance(console.file, io.StringIO)
    assert "Nothing was recorded" in console.file.getvalue()
