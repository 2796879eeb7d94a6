"""How long sound is kept: by the command, and before each visit where the settings say so."""

import sys
from contextlib import closing
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
import soundfile

from voicelog.cli import listen, main
from voicelog.cli.removal import remove_old_sound
from voicelog.corrections.room import Room
from voicelog.errors import ConfigurationError, StoreError
from voicelog.records.content import Note, Trial
from voicelog.records.entry import Entry
from voicelog.settings.fields import Settings
from voicelog.store.base import Clip
from voicelog.wiring import House

NOW = datetime.now(UTC)


@pytest.fixture
def house(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> House:
    """A practice with sound of 5, 20 and 50 days ago."""
    monkeypatch.setenv("VOICELOG_SETTINGS", str(tmp_path / "settings.toml"))
    monkeypatch.setenv("VOICELOG_DATA_FOLDER", str(tmp_path / "data"))
    house = House(Settings())
    with closing(house.store()) as store:
        for days in (50, 20, 5):
            at = NOW - timedelta(days=days)
            visit = store.open_visit("C-014", at)
            entry = Entry(
                entry_id=f"e{days}", visit_id=visit.visit_id, client="C-014",
                status="unconfirmed", content=Note(text="note"), spoken_at=at, at=at, by="AB",
            )  # fmt: skip
            store.append(entry, [Clip(b"fLaC", "note", 1.0)])
    return house


def kept(house: House) -> list[int]:
    with closing(house.store()) as store:
        return [days for days in (50, 20, 5) if store.clips(f"e{days}")]


@pytest.mark.parametrize(
    ("wanted", "left"), [("60d", [50, 20, 5]), ("30d", [20, 5]), ("2w", [5]), ("1D", [])]
)
def test_sound_older_than_wanted_goes(house: House, wanted: str, left: list[int]) -> None:
    assert remove_old_sound(house, wanted) == 3 - len(left)
    assert kept(house) == left


def test_a_copy_made_at_the_desk_goes_with_the_sound_it_is_of(house: House) -> None:
    room = Room(house, lambda: NOW)
    with closing(house.store()) as store:
        note = store.history("e50")[-1]
        made = Trial(joint="knee", motion="flexion", side="left", phase="baseline", pain=3)
        room.changes(store).begin(note, "made", made, "found in a note")
        assert store.clips("made")
    assert remove_old_sound(house, "30d") == 2
    with closing(house.store()) as store:
        assert store.clips("made") == ()


@pytest.mark.parametrize("wanted", ["", "soon", "30", "-3d", "1.5w", "30d 2w"])
def test_what_is_no_length_of_time_removes_nothing(house: House, wanted: str) -> None:
    with pytest.raises(ConfigurationError, match="no length of time"):
        remove_old_sound(house, wanted)
    assert kept(house) == [50, 20, 5]


def test_listening_removes_it_first_where_the_settings_say_so(
    house: House, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def no_visit(*_: object) -> None:
        raise StoreError("Far enough")

    soundfile.write(tmp_path / "quiet.wav", [0.0] * 1600, 16_000)
    monkeypatch.setattr(listen, "Session", no_visit)
    command = "voicelog listen --client C-014 --screen-later --audio"
    monkeypatch.setattr(sys, "argv", [*command.split(), str(tmp_path / "quiet.wav")])
    for setting, left in (("", [50, 20, 5]), ("30d", [20, 5])):
        monkeypatch.setenv("VOICELOG_KEEP_AUDIO", setting)
        with pytest.raises(SystemExit):
            main()
        assert kept(house) == left
