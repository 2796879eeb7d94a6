"""Commands that only look, or remove: nothing is made where no records are, and nothing goes
without a yes."""

from collections.abc import Callable
from contextlib import closing
from pathlib import Path

import pytest
from typer.testing import CliRunner, Result

from tests.integration.houses import filled
from voicelog.cli.app import app
from voicelog.errors import ConfigurationError, StoreError, VoicelogError
from voicelog.safekeeping import locking
from voicelog.settings.fields import Settings
from voicelog.settings.loading import load_settings
from voicelog.store import sqlite_file
from voicelog.store.keys import keys_path
from voicelog.store.sqlite import SqliteStore
from voicelog.wiring import House

Run = Callable[..., Result]

pytestmark = pytest.mark.usefixtures("own_folders")


@pytest.fixture
def run(home: Path, monkeypatch: pytest.MonkeyPatch) -> Run:
    """Run a command of a practice that has its records, and encrypts new ones, in `home`."""
    monkeypatch.setenv("VOICELOG_SETTINGS", str(home.parent / "settings.toml"))
    monkeypatch.setenv("VOICELOG_ENCRYPTED", "true")

    def made(*arguments: str, typed: str = "") -> Result:
        done = CliRunner().invoke(app, [*arguments, "--data", str(home)], input=typed)
        if isinstance(done.exception, VoicelogError):
            raise done.exception
        return done

    return made


@pytest.fixture
def records(home: Path) -> Path:
    """Plain records of C-014 in `home`."""
    house = filled(House(Settings(data_folder=home, encrypted=False)))
    return house.settings.store_file


LOOKING = (
    ("visits",), ("compare", "last"), ("export", "last"), ("find", "ankle"), ("caseload",),
    ("progress", "C-014"), ("trail",), ("review", "last"), ("screen", "C-014", "--show"),
    ("archive", "--all", "-o", "all.zip"), ("backup", "copy.sqlite"), ("forget", "C-014", "--yes"),
    ("tidy", "--keep-audio", "30d", "--yes"), ("safe", "passphrase"), ("safe", "recovery-key"),
)  # fmt: skip


@pytest.mark.parametrize("command", LOOKING, ids=" ".join)
def test_where_no_records_are_none_are_made(
    run: Run, home: Path, tmp_path: Path, command: tuple[str, ...], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    with pytest.raises(StoreError, match="There are no records in") as caught:
        run(*command)
    assert str(home) in caught.value.what
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize(
    ("command", "told"),
    [
        (("visits",), "Nothing is recorded yet."),
        (("find", "ankle"), "No record holds all of these words."),
        (("caseload",), "No trial is on record yet"),
    ],
)
def test_a_list_on_a_new_machine_is_empty_and_no_error(
    tmp_path: Path, command: tuple[str, ...], told: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    usual = tmp_path / "share"
    monkeypatch.setenv("VOICELOG_SETTINGS", str(tmp_path / "settings.toml"))
    monkeypatch.delenv("VOICELOG_DATA_FOLDER", raising=False)
    monkeypatch.setattr("platformdirs.user_data_path", lambda name: usual)
    done = CliRunner().invoke(app, [*command])
    assert done.exit_code == 0
    assert told in done.output
    assert not usual.exists()
    usual.mkdir()
    keys_path(usual / "records.sqlite").write_text("{}")
    lost = CliRunner().invoke(app, [*command])
    assert isinstance(lost.exception, StoreError)
    assert "only its keys" in lost.exception.what


@pytest.mark.parametrize("encrypted", [False, True])
def test_a_file_that_was_emptied_is_damaged_and_left_as_it_is(
    run: Run, home: Path, encrypted: bool
) -> None:
    filled(House(Settings(data_folder=home, encrypted=encrypted)))
    (home / "records.sqlite").write_bytes(b"")
    before = sorted(home.rglob("*"))
    for command in (("visits",), ("import", "all.zip"), ("restore", str(home / "records.sqlite"))):
        with pytest.raises(StoreError):
            run(*command)
    with pytest.raises(StoreError, match="it is empty"):
        run("visits")
    assert (home / "records.sqlite").read_bytes() == b""
    assert sorted(home.rglob("*")) == before


@pytest.mark.usefixtures("records")
@pytest.mark.parametrize("command", [("visits",), ("export", "last"), ("compare", "last")])
def test_what_cannot_be_written_is_looked_into(
    run: Run, command: tuple[str, ...], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(sqlite_file, "_may_write", lambda _: False)
    assert "C-014" in run(*command).output
    with pytest.raises(StoreError, match="cannot be written"):
        run("forget", "C-014", "--yes")


@pytest.mark.parametrize("encrypted", [False, True])
def test_records_on_a_disk_that_can_no_longer_be_written_are_backed_up(
    run: Run, home: Path, tmp_path: Path, encrypted: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    filled(House(Settings(data_folder=home, encrypted=encrypted)))
    monkeypatch.setattr(sqlite_file, "_may_write", lambda place: home not in (place, place.parent))
    run("backup", str(tmp_path / "copy.sqlite"))
    (home / "records.sqlite").unlink()
    run("restore", str(tmp_path / "copy.sqlite"))
    assert "C-014" in run("visits").output


@pytest.mark.parametrize("change", ["passphrase", "recovery-key"])
def test_keys_that_cannot_be_written_stay_as_they_are(
    run: Run, home: Path, change: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    filled(House(Settings(data_folder=home, encrypted=True)))
    before = keys_path(home / "records.sqlite").read_bytes()

    def full(*_: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setenv("VOICELOG_NEW_PASSPHRASE", "five words of my own")
    monkeypatch.setattr(locking, "write_keys", full)
    with pytest.raises(StoreError, match="No space left"):
        run("safe", change)
    assert keys_path(home / "records.sqlite").read_bytes() == before


def test_a_file_is_no_folder_of_records(run: Run, home: Path) -> None:
    home.write_text("a letter")
    done = run("visits")
    assert done.exit_code == 2
    assert "is a file" in " ".join(done.output.replace("│", "").split())


def test_settings_that_may_not_be_read_are_named(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def closed(_: Path) -> bool:
        raise PermissionError(13, "Permission denied")

    monkeypatch.setenv("VOICELOG_SETTINGS", str(tmp_path / "settings.toml"))
    monkeypatch.setattr(Path, "is_file", closed)
    with pytest.raises(ConfigurationError, match="cannot be read: Permission denied") as caught:
        load_settings()
    assert str(tmp_path) in caught.value.what


@pytest.mark.usefixtures("records")
@pytest.mark.parametrize("typed", ["n\n", ""])
@pytest.mark.parametrize("command", [("forget", "C-014"), ("tidy", "--keep-audio", "0d")])
def test_nothing_is_removed_without_a_yes(
    run: Run, home: Path, command: tuple[str, ...], typed: str
) -> None:
    done = run(*command, typed=typed)
    assert done.exit_code == 1
    assert "Nothing was removed" in done.output
    with closing(SqliteStore(home / "records.sqlite")) as store:
        assert len(store.clips("e1")) == 1


@pytest.mark.usefixtures("records")
@pytest.mark.parametrize("typed", ["y\n", "--yes"])
def test_sound_is_removed_after_a_yes(run: Run, home: Path, typed: str) -> None:
    tidy = ("tidy", "--keep-audio", "0d")
    assert (run(*tidy, typed) if typed == "--yes" else run(*tidy, typed=typed)).exit_code == 0
    with closing(SqliteStore(home / "records.sqlite")) as store:
        assert store.clips("e1") == ()


@pytest.mark.usefixtures("records")
def test_nothing_is_asked_about_a_client_who_does_not_exist(run: Run) -> None:
    with pytest.raises(StoreError, match="Nothing is on record for NOPE"):
        run("forget", "NOPE", typed="n\n")
