"""Several practitioners on one machine: settings of their own, and records that say whose."""

import sys
from collections.abc import Callable
from contextlib import closing
from pathlib import Path

import pytest

from voicelog.cli import main
from voicelog.errors import ConfigurationError
from voicelog.records.scales import ChangeRating
from voicelog.settings.loading import load_settings
from voicelog.store.sqlite import SqliteStore


@pytest.fixture(autouse=True)
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("VOICELOG_SETTINGS", str(tmp_path / "settings.toml"))
    for name in ("VOICELOG_PRACTITIONER", "VOICELOG_DATA_FOLDER"):
        monkeypatch.delenv(name, raising=False)
    (tmp_path / "practitioners").mkdir()
    shared = (tmp_path / "all").as_posix()
    (tmp_path / "settings.toml").write_text(
        f'practitioner = "AB"\nspeech_rate_wpm = 180\ndata_folder = "{shared}"\n'
    )
    return tmp_path


def own(folder: Path, name: str, text: str) -> None:
    (folder / "practitioners" / f"{name}.toml").write_text(text)


def test_own_settings_go_before_those_of_all_and_leave_the_rest(folder: Path) -> None:
    own(folder, "CD", "speech_rate_wpm = 150\n")
    assert (load_settings().practitioner, load_settings().speech_rate_wpm) == ("AB", 180)
    hers = load_settings("CD")
    assert (hers.practitioner, hers.speech_rate_wpm) == ("CD", 150)
    assert hers.data_folder == folder / "all"


def test_the_environment_names_a_practitioner_too_and_goes_before_files(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    own(folder, "CD", "speech_rate_wpm = 150\nspoken = false\n")
    monkeypatch.setenv("VOICELOG_PRACTITIONER", "CD")
    monkeypatch.setenv("VOICELOG_SPEECH_RATE_WPM", "160")
    hers = load_settings()
    assert (hers.practitioner, hers.speech_rate_wpm, hers.spoken) == ("CD", 160, False)


def test_own_clients_have_a_store_of_their_own(folder: Path) -> None:
    own(folder, "CD", f'data_folder = "{(folder / "hers").as_posix()}"\n')
    assert load_settings("CD").store_file == folder / "hers" / "records.sqlite"
    assert load_settings().store_file == folder / "all" / "records.sqlite"


def test_a_mistake_in_own_settings_names_their_file_and_line(folder: Path) -> None:
    own(folder, "CD", "# mine\nspeech_rate_wpm = 9000\n")
    with pytest.raises(ConfigurationError, match=r"CD\.toml, line 2: speech_rate_wpm"):
        load_settings("CD")
    own(folder, "EF", "speech_rate_wpm = \n")
    with pytest.raises(ConfigurationError, match=r"EF\.toml"):
        load_settings("EF")


def test_a_name_that_leads_out_of_the_folder_finds_no_file(folder: Path) -> None:
    (folder / "stray.toml").write_text("speech_rate_wpm = 150\n")
    assert load_settings("../stray").speech_rate_wpm == 180


@pytest.fixture
def run(monkeypatch: pytest.MonkeyPatch) -> Callable[..., None]:
    def command(*arguments: str) -> None:
        monkeypatch.setattr(sys, "argv", ["voicelog", *arguments])
        with pytest.raises(SystemExit) as left:
            main()
        assert left.value.code in (0, None)

    return command


def test_entries_know_by_whom(folder: Path, run: Callable[..., None]) -> None:
    for name in ((), ("--practitioner", "CD")):
        run("scale", "C-014", "change", "--rating", "5", *name)
    with closing(SqliteStore(folder / "all" / "records.sqlite")) as store:
        assert [fact.by for fact in store.facts("C-014", ChangeRating)] == ["AB", "CD"]


def test_a_client_of_one_is_unknown_to_the_other(folder: Path, run: Callable[..., None]) -> None:
    own(folder, "CD", f'data_folder = "{(folder / "hers").as_posix()}"\n')
    run("scale", "C-015", "change", "--rating", "2", "--practitioner", "CD")
    run("scale", "C-014", "change", "--rating", "5")
    for place, known in (("hers", ["C-015"]), ("all", ["C-014"])):
        with closing(SqliteStore(folder / place / "records.sqlite")) as store:
            rated = [code for code in ("C-014", "C-015") if store.facts(code, ChangeRating)]
            assert rated == known
