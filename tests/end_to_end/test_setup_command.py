"""`voicelog setup` as a newcomer meets it: a recording for the microphone, answers from a file."""

from collections.abc import Callable
from contextlib import closing
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest
from typer.testing import CliRunner, Result

from voicelog.analysis.caseload import caseload
from voicelog.audio import devices, player
from voicelog.cli.app import app
from voicelog.errors import AudioError, ConfigurationError
from voicelog.records.content import Trial
from voicelog.records.visit import PRACTICE
from voicelog.settings.fields import Settings
from voicelog.wiring import House

Walk = Callable[..., Result]
ENTERS = "\n" * 20
"""More than there are questions."""


@pytest.fixture
def walk(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Walk:
    """Runs the command with lines that are typed."""
    monkeypatch.setenv("VOICELOG_SETTINGS", str(tmp_path / "settings.toml"))
    monkeypatch.setenv("VOICELOG_DATA_FOLDER", str(tmp_path / "data"))

    def run(*arguments: str, typed: str = "") -> Result:
        return CliRunner().invoke(app, ["setup", *arguments], input=typed, catch_exceptions=False)

    return run


def test_the_walk_ends_with_one_practice_record_that_counts_in_no_caseload(
    walk: Walk, dictation: Path, tmp_path: Path
) -> None:
    done = walk("--audio", str(dictation), typed=ENTERS)
    assert done.exit_code == 0
    assert "Heard: left ankle" in done.output
    assert "One record is saved" in done.output
    house = House(Settings())
    store = house.store()
    (visit,) = store.visits()
    assert visit.client == PRACTICE
    (record,) = records = store.records(visit.visit_id)
    assert isinstance(record.content, Trial)
    assert record.affirmed is not None
    assert caseload(house.comparer.every_visit(records), house.tables.rules) == ()
    store.close()


def test_no_line_is_broken_twice_on_a_terminal_of_80_columns(
    walk: Walk, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("COLUMNS", "80")
    monkeypatch.setattr(House, "vosk_folder", None)
    engine = walk("--only", "engine", typed="\nn\n\n").output
    assert "PocketSphinx comes" in engine
    assert "real voices; its" in " ".join(engine.split())
    lines = walk("--only", "client", typed="s\n").output.splitlines()
    assert any(line.endswith("the safety screen, before any trial") for line in lines)
    assert {"with", "trial"}.isdisjoint(line.strip() for line in (*engine.splitlines(), *lines))


def test_each_step_can_be_left_out_and_the_walk_stopped(walk: Walk, tmp_path: Path) -> None:
    done = walk(typed="s\ns\nq\n")
    assert done.exit_code == 0
    assert "3 of 6" in done.output
    assert "4 of 6" not in done.output
    assert not (tmp_path / "data").exists()


def test_a_letter_that_means_nothing_does_nothing_and_is_asked_again(walk: Walk) -> None:
    done = walk("--only", "engine", typed="x\nq\n")
    assert "none of these" in done.output
    assert "In use" not in done.output


def test_an_answer_that_is_neither_yes_nor_no_is_asked_again(walk: Walk, tmp_path: Path) -> None:
    done = walk("--only", "client", typed="\nC-014\nperhaps\nn\n\n")
    assert "neither y nor n" in done.output
    assert not (tmp_path / "data" / "records.sqlite").exists()


def test_a_speed_that_cannot_be_is_said_to_be_none_and_changes_nothing(
    walk: Walk, tmp_path: Path, sound_card: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    for module in (devices, player):
        monkeypatch.setattr(module, "load_sounddevice", lambda: sound_card)
    done = walk("--only", "voice", typed="\ny\nfast\nr\ny\n9999\n\n")
    assert "fast is no whole number; it stays at 190." in done.output
    assert "Nothing was changed. Allowed is a whole number from 80 to 450." in " ".join(
        done.output.split()
    )
    assert not (tmp_path / "settings.toml").exists()


def test_it_can_be_interrupted_at_a_question(walk: Walk, monkeypatch: pytest.MonkeyPatch) -> None:
    def interrupted(*_: object) -> str:
        raise KeyboardInterrupt

    monkeypatch.setattr("voicelog.cli.asking.input", interrupted, raising=False)
    done = walk("--only", "client")
    assert done.exit_code == 0
    assert "Go on another time with: voicelog setup" in done.output


@pytest.mark.parametrize("typed", ["", "\n", "s\ns\ns\n\nkim\n"])
def test_where_the_input_ends_the_walk_breaks_off_and_makes_no_record(
    walk: Walk, dictation: Path, tmp_path: Path, typed: str
) -> None:
    with pytest.raises(ConfigurationError, match="came to its end before") as caught:
        walk("--audio", str(dictation), typed=typed)
    assert "What you chose until then is kept" in caught.value.kept
    chosen = tmp_path / "settings.toml"
    assert chosen.exists() == ("kim" in typed)
    with closing(House(Settings()).store()) as store:
        assert store.visits() == ()


def test_a_step_can_be_repeated_and_what_is_typed_is_kept(walk: Walk, tmp_path: Path) -> None:
    done = walk("--only", "records", typed="\n\nr\nkim\n\n")
    assert done.output.count("records.sqlite") >= 2
    assert 'practitioner = "kim"' in (tmp_path / "settings.toml").read_text(encoding="utf-8")


def test_the_first_client_is_screened_by_the_very_questions(walk: Walk, tmp_path: Path) -> None:
    count = len(House(Settings()).tables.screen)
    done = walk("--only", "client", typed="\nC-014\ny\n" + "n\n" * count + "y\n\n")
    assert "No flag recorded" in done.output
    store = House(Settings()).store()
    assert House(Settings()).screen(store, "C-014").asked_by
    store.close()


@pytest.mark.parametrize(("code", "said"), [("Anna Smith", "never a name"), ("practice", "code")])
def test_a_code_that_cannot_be_a_client_is_refused_kindly(walk: Walk, code: str, said: str) -> None:
    done = walk("--only", "client", typed=f"\n{code}\n\n")
    assert done.exit_code == 0
    assert said in done.output


def test_without_a_microphone_it_says_what_to_do_and_goes_on(
    walk: Walk, monkeypatch: pytest.MonkeyPatch
) -> None:
    def missing() -> None:
        raise AudioError("PortAudio is missing", do="Install it")

    monkeypatch.setattr(devices, "load_sounddevice", missing)
    done = walk("--only", "microphone", "--only", "client", typed=ENTERS)
    assert "PortAudio is missing" in done.output
    assert "--audio FILE" in done.output
    assert "2 of 2" in done.output


def test_the_practice_visit_is_of_today(walk: Walk, dictation: Path) -> None:
    walk("--audio", str(dictation), "--only", "practice", typed=ENTERS)
    store = House(Settings()).store()
    (visit,) = store.visits(PRACTICE)
    assert abs((datetime.now(UTC) - visit.started_at).total_seconds()) < 600
    assert visit.ended_at is not None
    store.close()
