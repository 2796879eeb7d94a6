"""What a person meets when something is wrong: one clear line, and the right exit code.

Exit codes: 0 done, 1 could not, 2 wrong usage.
"""

import json
import os
import sqlite3
from collections.abc import Callable
from contextlib import closing
from pathlib import Path
from types import ModuleType
from typing import Any

import numpy as np
import pytest
import soundfile

from tests.end_to_end.conftest import RECORDING
from voicelog.store.sqlite import SqliteStore

Run = Callable[..., Any]


def clear_error(done: Any) -> str:
    """The error as a person sees it: no traceback, and the exit code for "could not"."""
    assert "Traceback" not in done.stderr, done.stderr
    assert done.returncode == 1, (done.stdout, done.stderr)
    return " ".join(done.stderr.split())


@pytest.mark.parametrize(
    ("name", "content", "words"),
    [
        ("missing.wav", None, "There is no file"),
        ("empty.wav", b"", "is empty"),
        ("letter.wav", b"Dear colleague,\n" * 50, "cannot be read as sound"),
        ("folder", "folder", "is a folder, not a sound file"),
    ],
)
@pytest.mark.parametrize("command", ["transcribe", "listen"])
def test_what_is_no_sound_is_named(
    voicelog: Run, tmp_path: Path, name: str, content: bytes | str | None, words: str, command: str
) -> None:
    path = tmp_path / name
    if content == "folder":
        path.mkdir()
    elif isinstance(content, bytes):
        path.write_bytes(content)
    arguments = {
        "transcribe": ("transcribe", str(path)),
        "listen": ("listen", "--client", "C-014", "--screen-later", "--audio", str(path)),
    }
    error = clear_error(voicelog(*arguments[command], folder=tmp_path))
    assert words in error.replace("\n", " ")
    assert "The visit is kept" not in error


def rows(done: Any) -> list[dict[str, Any]]:
    assert done.returncode == 0, done.stderr
    return [json.loads(line) for line in done.stdout.splitlines()]


def test_a_silent_file_gives_one_row_with_the_reason(voicelog: Run, tmp_path: Path) -> None:
    path = tmp_path / "silent.wav"
    soundfile.write(path, np.zeros(48_000, np.int16), 16_000)
    done = voicelog("transcribe", "--json", str(path), folder=tmp_path)
    (row,) = rows(done)
    assert (row["accepted"], row["reason"], row["text"]) == (False, "silence", "")
    assert "silent from end to end" in done.stderr


def test_a_visit_of_silence_says_that_nothing_was_heard(voicelog: Run, tmp_path: Path) -> None:
    path = tmp_path / "silent.wav"
    soundfile.write(path, np.zeros(48_000, np.int16), 16_000)
    command = ("listen", "--client", "C-014", "--screen-later", "--audio", str(path))
    done = voicelog(*command, folder=tmp_path)
    assert done.returncode == 0, done.stderr
    assert "Nothing was heard that makes a record." in done.stdout
    assert "Trial" not in done.stdout


@pytest.fixture(scope="module")
def dictation(recordings: ModuleType) -> tuple[Path, dict[str, Any]]:
    """A recording of the first sentence by the clearest voice, and what it says."""
    manifest = recordings.load_manifest()
    said = manifest.utterance[0]
    (path,) = [r.path for r in manifest.recordings() if (r.voice, r.id) == ("slt", said.id)]
    return path, said.slots.said()


@pytest.mark.parametrize("kind", ["8 kHz", "stereo 44.1 kHz", "clipped"])
def test_unusual_sound_is_heard_and_remarked_on(
    voicelog: Run, tmp_path: Path, dictation: tuple[Path, dict[str, Any]], kind: str
) -> None:
    import soxr

    samples, rate_hz = soundfile.read(dictation[0])
    path = tmp_path / "sound.wav"
    if kind == "8 kHz":
        soundfile.write(path, soxr.resample(samples, rate_hz, 8_000), 8_000)
    elif kind == "stereo 44.1 kHz":
        wide = soxr.resample(samples, rate_hz, 44_100)
        soundfile.write(path, np.stack([wide, wide], axis=1), 44_100)
    else:
        soundfile.write(path, np.clip(samples * 12, -1, 1), rate_hz)
    done = voicelog("transcribe", "--json", str(path), folder=tmp_path)
    found = rows(done)
    assert len(found) == 1
    remark = {"8 kHz": "narrow-band", "stereo 44.1 kHz": "", "clipped": "clipped"}[kind]
    assert remark in done.stderr
    if kind != "clipped":
        heard = {
            k: v
            for k, v in found[0]["slots"].items()
            if v is not None and v is not False and v != []
        }
        assert heard == dictation[1]


def test_no_microphone_says_what_to_install(voicelog: Run, tmp_path: Path) -> None:
    try:
        import sounddevice
    except OSError:
        pass
    else:
        if any(device["max_input_channels"] for device in sounddevice.query_devices()):
            pytest.skip("this machine has a microphone")
    done = voicelog("listen", "--client", "C-014", "--screen-later", folder=tmp_path)
    error = clear_error(done)
    assert "PortAudio" in error or "microphone" in error


@pytest.mark.parametrize("code", ["Jane Doe", "../x", "<b>", ""])
def test_a_client_code_that_is_none_is_wrong_usage(
    voicelog: Run, tmp_path: Path, code: str
) -> None:
    done = voicelog("listen", "--client", code, "--audio", "x.wav", folder=tmp_path)
    assert done.returncode == 2
    assert "never a name" in done.stderr


@pytest.mark.parametrize(
    "arguments",
    [("transcribe",), ("transcribe", "--expect", "poem", "x.wav"), ("dance",), ("listen",)],
)
def test_wrong_usage_is_exit_code_two(
    voicelog: Run, tmp_path: Path, arguments: tuple[str, ...]
) -> None:
    assert voicelog(*arguments, folder=tmp_path).returncode == 2


def test_a_model_folder_that_is_none_is_named(voicelog: Run, tmp_path: Path) -> None:
    done = voicelog(
        "transcribe",
        "--engine",
        "vosk",
        "x.wav",
        folder=tmp_path,
        VOICELOG_VOSK_MODEL=str(tmp_path),
    )
    assert str(tmp_path) in clear_error(done)


def test_vosk_without_a_model_says_how_to_get_one(voicelog: Run, tmp_path: Path) -> None:
    done = voicelog("transcribe", "--engine", "vosk", "x.wav", folder=tmp_path)
    assert "voicelog model install" in clear_error(done)


def test_a_wrong_setting_names_file_and_line(voicelog: Run, tmp_path: Path) -> None:
    (tmp_path / "settings.toml").write_text('# mine\nengine = "magic"\n', encoding="utf-8")
    error = clear_error(voicelog("visits", folder=tmp_path))
    assert "settings.toml, line 2" in error
    assert "pocketsphinx" in error


def test_settings_that_are_no_toml_name_the_file(voicelog: Run, tmp_path: Path) -> None:
    (tmp_path / "settings.toml").write_text("engine = \n", encoding="utf-8")
    assert "settings.toml" in clear_error(voicelog("visits", folder=tmp_path))


def store_file(folder: Path) -> Path:
    (folder / "data").mkdir(exist_ok=True)
    return folder / "data" / "records.sqlite"


def test_a_file_that_is_no_store_is_left_alone(voicelog: Run, tmp_path: Path) -> None:
    store_file(tmp_path).write_bytes(b"not a database, but a letter" * 100)
    error = clear_error(voicelog("visits", folder=tmp_path))
    assert "records.sqlite" in error
    assert store_file(tmp_path).read_bytes().startswith(b"not a database")


def test_a_store_of_a_newer_version_is_left_alone(voicelog: Run, tmp_path: Path) -> None:
    SqliteStore(store_file(tmp_path)).close()
    with sqlite3.connect(store_file(tmp_path)) as db:
        db.execute("PRAGMA user_version = 999")
    assert "newer" in clear_error(voicelog("visits", folder=tmp_path, VOICELOG_ENCRYPTED="false"))


def test_a_locked_store_says_so(voicelog: Run, tmp_path: Path) -> None:
    SqliteStore(store_file(tmp_path)).close()
    db = sqlite3.connect(store_file(tmp_path), isolation_level=None)
    db.execute("BEGIN EXCLUSIVE")
    try:
        error = clear_error(voicelog("visits", folder=tmp_path, VOICELOG_ENCRYPTED="false"))
    finally:
        db.rollback()
        db.close()
    assert "another program" in error


@pytest.mark.skipif(os.name != "posix" or os.geteuid() == 0, reason="root may write everywhere")
def test_a_read_only_folder_says_so(voicelog: Run, tmp_path: Path) -> None:
    (tmp_path / "data").mkdir(mode=0o500)
    assert "data" in clear_error(voicelog("visits", folder=tmp_path))


def test_no_visit_begins_on_records_that_are_damaged(voicelog: Run, tmp_path: Path) -> None:
    with closing(SqliteStore(store_file(tmp_path))) as store:
        assert store.visits() == ()
    with closing(sqlite3.connect(store_file(tmp_path))) as db:
        (page,) = db.execute("SELECT rootpage FROM sqlite_schema WHERE name = 'clip'").fetchone()
    with store_file(tmp_path).open("r+b") as file:
        file.seek((page - 1) * 4096)
        file.write(b"\xa5" * 4096)
    listen = ("listen", "--client", "C-014", "--screen-later", "--audio", str(RECORDING))
    error = clear_error(voicelog(*listen, folder=tmp_path, VOICELOG_ENCRYPTED="false"))
    assert "is damaged" in error
    with closing(SqliteStore(store_file(tmp_path))) as store:
        assert store.visits() == ()


def test_a_folder_is_named_with_its_brackets(voicelog: Run, tmp_path: Path) -> None:
    folder = tmp_path / "[old" / "]"
    assert "[old/]" in clear_error(voicelog("visits", "--data", str(folder), folder=tmp_path))
    (tmp_path / "[" / "b]").mkdir(parents=True)
    (tmp_path / "[" / "b]" / "records.sqlite").write_text("a letter")
    done = voicelog("check", "--data", str(tmp_path / "[" / "b]"), folder=tmp_path)
    assert "[/b]" in "".join(done.stdout.split())


def test_an_unknown_visit_names_the_newest(voicelog: Run, tmp_path: Path) -> None:
    SqliteStore(store_file(tmp_path)).close()
    assert "No visit has been recorded yet" in clear_error(
        voicelog("export", "last", folder=tmp_path)
    )


def test_an_unknown_format_is_wrong_usage(voicelog: Run, tmp_path: Path) -> None:
    done = voicelog("export", "last", "--format", "papyrus", folder=tmp_path)
    assert done.returncode == 2
    assert "markdown" in done.stderr
