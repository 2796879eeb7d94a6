"""A practice in a folder of its own, whose commands are run as they are typed."""

import io
import sys
from contextlib import closing
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest

from voicelog.cli import main
from voicelog.recognisers.scripted import ScriptedRecogniser
from voicelog.records.content import AnyContent, Drill, Trial
from voicelog.records.entry import Affirmation, Entry
from voicelog.records.visit import Visit
from voicelog.store.sqlite import SqliteStore
from voicelog.wiring import House

MONDAY = datetime(2026, 3, 2, 9, 0, tzinfo=UTC)


ANKLE = {"side": "left", "joint": "ankle", "motion": "dorsiflexion"}


@dataclass(frozen=True, slots=True)
class Done:
    """What a command left: its exit code, data, and talk."""

    code: int
    out: str
    err: str


class Practice:
    """A practice in a temporary folder, and the commands typed there."""

    def __init__(
        self, folder: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
    ) -> None:
        self._folder, self._patch, self._capsys = folder, monkeypatch, capsys
        for name, value in (
            ("VOICELOG_SETTINGS", str(folder / "settings.toml")),
            ("VOICELOG_DATA_FOLDER", str(folder)),
            ("VOICELOG_PRACTITIONER", "MT"),
            ("COLUMNS", "160"),
        ):
            monkeypatch.setenv(name, value)
        # No word is spoken in these tests, so no engine need be loaded.
        monkeypatch.setattr(House, "recogniser", lambda house, engine: ScriptedRecogniser(()))

    def type(self, *arguments: str, keys: str = "") -> Done:
        """Run one command in this process; no traceback ever reaches the person."""
        self._patch.setattr(sys, "argv", ["voicelog", *arguments])
        self._patch.setattr(sys, "stdin", io.StringIO(keys))
        self._capsys.readouterr()
        try:
            main()
            code = 0
        except SystemExit as left:
            code = int(left.code or 0)
        out, err = self._capsys.readouterr()
        assert "Traceback" not in err
        return Done(code, " ".join(out.split()), " ".join(err.split()))

    def store(self) -> SqliteStore:
        return SqliteStore(self._folder / "records.sqlite")

    def visit(self, client: str, at: datetime, *contents: AnyContent) -> Visit:
        """A visit with these records, a minute apart."""
        with closing(self.store()) as store:
            visit = store.open_visit(client, at)
            for minute, content in enumerate(contents, start=1):
                spoken = at + timedelta(minutes=minute)
                entry = Entry(
                    entry_id=f"{client}-{at:%d}-{minute}",
                    visit_id=visit.visit_id,
                    client=client,
                    status="unconfirmed",
                    content=content,
                    spoken_at=spoken,
                    at=spoken,
                    by="MT",
                )
                store.append(entry)
                yes = Affirmation(read_back="as said", by="voice")
                store.append(entry.confirm(yes, spoken))
            return store.end_visit(visit.visit_id, at + timedelta(hours=1))


def trial(phase: str, pain: int, degrees: int | None = None, **slots: Any) -> Trial:
    return Trial.model_validate(
        {**ANKLE, "phase": phase, "pain": pain, "range_deg": degrees, **slots}
    )


def a_day(
    practice: Practice, at: datetime = MONDAY, client: str = "C-014", start: int = 6
) -> Visit:
    """Gap eases by 3 points of 10, which is 50 %; compression does not; a drill is given."""
    return practice.visit(
        client,
        at,
        trial("baseline", start, 12, instrument="goniometer"),
        trial("gap", start - 3, 16, instrument="goniometer"),
        trial("compression", start, 11, instrument="goniometer"),
        trial("retest", start - 4, 18, instrument="goniometer"),
        Drill(name="banded heel glide", sets=3, reps=8, band="light"),
    )
