"""The records as somebody finds them who only types commands: encrypted, backed up, removed.

No passphrase is set, there is no terminal and no keyring: as a script runs it.
"""

import os
import re
import shutil
import stat
from collections.abc import Callable
from pathlib import Path
from subprocess import CompletedProcess
from typing import Any

import pytest

from voicelog.store.sqlite import SqliteStore

Run = Callable[..., CompletedProcess[str]]
KNOWN = (b"C-014", b"fLaC", b"dorsiflexion", b"SQLite format 3")


@pytest.fixture(scope="module")
def folder(
    recorded: tuple[CompletedProcess[str], Path], tmp_path_factory: pytest.TempPathFactory
) -> Path:
    """A home with the recorded visit in its store; temporary files have a place of their own."""
    done, folder = recorded
    assert "on this same machine" in done.stderr
    return Path(shutil.copytree(folder, tmp_path_factory.mktemp("homes") / "home"))


@pytest.fixture
def run(voicelog: Run, folder: Path) -> Callable[..., CompletedProcess[str]]:
    def made(*arguments: str, **environment: Any) -> CompletedProcess[str]:
        return voicelog(*arguments, folder=folder, **environment)

    return made


def readable(folder: Path) -> dict[str, set[bytes]]:
    found = {}
    for file in folder.rglob("*"):
        if file.is_file() and ".cache" not in file.parts:
            content = file.read_bytes()
            found[file.name] = {known for known in KNOWN if known in content}
    return {name: known for name, known in found.items() if known}


def test_nothing_of_a_visit_can_be_read_anywhere(folder: Path) -> None:
    assert (folder / "data" / "records.sqlite").stat().st_size > 100_000
    assert readable(folder) == {}


@pytest.mark.skipif(os.name != "posix", reason="file modes are a matter of POSIX")
def test_every_file_is_its_owners_alone(folder: Path) -> None:
    ours = [*(folder / "data").iterdir(), *(folder / ".config").rglob("*.key")]
    assert {stat.S_IMODE(file.stat().st_mode) for file in ours} == {0o600}
    assert len(ours) == 3


def test_every_later_command_opens_it_with_no_more_arguments(run: Run) -> None:
    for command in (("visits",), ("export", "last"), ("compare", "last"), ("progress", "C-014")):
        done = run(*command)
        assert done.returncode == 0, done.stderr
        assert "C-014" in done.stdout


def test_check_says_what_opens_it_and_that_it_is_whole(run: Run) -> None:
    said = " ".join(run("check").stdout.split())
    assert "encrypted, opened by a key on this same machine" in said
    assert "nothing in it is damaged or changed from outside" in said


def test_records_are_found_by_their_words(run: Run) -> None:
    said = " ".join(run("find", "C-014", "dorsi", "gap").stdout.split())
    assert "left ankle, dorsiflexion, gap trial" in said
    assert "No record holds" in run("find", "elbow").stdout


def test_an_export_says_that_it_leaves_the_safe(run: Run, tmp_path: Path) -> None:
    for command in (
        ("export", "last", "-o", str(tmp_path / "note.md")),
        ("export", "last"),
        ("archive", "C-014", "-o", str(tmp_path / "C-014.zip")),
    ):
        assert "not encrypted" in " ".join(run(*command).stderr.split())


def test_a_note_on_paper_shows_that_the_trail_still_stands(run: Run) -> None:
    last = run("trail").stdout.split()[-1]
    assert run("trail", "--link", last).returncode == 0
    for other in ("00" * 32, "00" * 8):
        done = run("trail", "--link", other)
        assert done.returncode == 1
        assert "does not stand" in " ".join(done.stderr.split())


def test_a_link_as_a_backup_prints_it_still_stands(run: Run, tmp_path: Path) -> None:
    (tmp_path / "stick").mkdir()
    said = " ".join(run("backup", str(tmp_path / "stick")).stderr.split())
    number, digits = re.findall(r"ends with link (\d+), ([0-9a-f]+)", said)[0]
    for noted in (digits, digits.upper(), f"{number}, {digits}"):
        assert run("trail", "--link", noted).returncode == 0


@pytest.mark.parametrize("typed", ["zz", "a155", "", "0" * 65])
def test_what_is_no_link_raises_no_alarm(run: Run, typed: str) -> None:
    done = run("trail", "--link", typed)
    assert done.returncode == 2
    said = " ".join(done.stderr.replace("│", " ").split())
    assert "that is no link" in said
    assert "does not stand" not in said


def test_a_backup_is_put_back_with_a_passphrase_on_another_machine(
    run: Run, voicelog: Run, tmp_path: Path
) -> None:
    new = {"VOICELOG_NEW_PASSPHRASE": "five words of my own"}
    said = run("safe", "passphrase", **new).stderr
    assert "A lost passphrase is lost" in said
    assert "Earlier backups go on opening here" in said.split("Recovery key")[0]
    recovery = said.split("Recovery key: ")[1].split()[0]
    locked = run("visits")
    assert locked.returncode == 1
    assert "VOICELOG_PASSPHRASE" in " ".join(locked.stderr.split())
    known = {"VOICELOG_PASSPHRASE": "five words of my own"}
    (tmp_path / "stick").mkdir()
    kept = run("backup", str(tmp_path / "stick"), **known)
    assert kept.returncode == 0
    assert "looked through: 1 visit, " in kept.stderr
    (file,) = (tmp_path / "stick").glob("*.sqlite")
    assert readable(tmp_path / "stick") == {}
    other = tmp_path / "other"
    other.mkdir()
    done = voicelog("restore", str(file), folder=other, VOICELOG_PASSPHRASE=recovery)
    assert done.returncode == 0, done.stderr
    assert "C-014" in voicelog("visits", folder=other, VOICELOG_PASSPHRASE=recovery).stdout


def test_old_sound_is_removed_and_a_client_forgotten(
    voicelog: Run, tmp_path: Path, folder: Path
) -> None:
    known = {"VOICELOG_PASSPHRASE": "five words of my own"}
    kept = voicelog("tidy", "--keep-audio", "30d", "--yes", folder=folder, **known)
    assert "Removed: 0 clips" in kept.stderr
    assert voicelog("tidy", "--keep-audio", "soon", folder=folder, **known).returncode == 1
    gone = voicelog("tidy", "--keep-audio", "0d", "--yes", folder=folder, **known)
    assert re.match(r"Removed: [1-9]\d* clips", gone.stderr)
    assert voicelog("forget", "C-014", folder=folder, **known).returncode == 1
    done = voicelog("forget", "C-014", "--yes", folder=folder, **known)
    assert done.stderr.startswith("Removed: 1 visit, ")
    assert "Nothing is recorded yet" in voicelog("visits", folder=folder, **known).stdout
    assert voicelog("trail", folder=folder, **known).returncode == 0


def test_records_of_an_earlier_version_are_opened_and_locked_by_one_command(
    voicelog: Run, tmp_path: Path
) -> None:
    SqliteStore(tmp_path / "data" / "records.sqlite").close()
    advice = f'voicelog safe lock --data "{tmp_path / "data"}"'
    assert advice in voicelog("visits", folder=tmp_path).stderr
    done = voicelog("safe", "lock", folder=tmp_path)
    assert done.returncode == 0, done.stderr
    assert "encrypted" in voicelog("safe", "show", folder=tmp_path).stdout
    assert "voicelog safe lock" not in voicelog("visits", folder=tmp_path).stderr
