"""The help of every command: a sentence first, and an example that runs.

Each example is run as it is printed, in a folder that holds the files it names. What needs a sound
card, a browser or the network meets a stand-in at that edge.
"""

import re
import shlex
import threading
from collections.abc import Callable, Iterator
from importlib.metadata import PackageNotFoundError, distribution
from pathlib import Path
from types import SimpleNamespace
from typing import Any, get_args

import pytest
import typer
from typer.testing import CliRunner

from voicelog.audio import devices
from voicelog.audio.sound_file import SoundFile
from voicelog.cli import demo, desk, setup_practice
from voicelog.cli.app import app
from voicelog.grammar.hypothesis import Expect
from voicelog.recognisers.vosk_models import VoskModels
from voicelog.settings.fields import Settings
from voicelog.speech.printed import PrintedVoice
from voicelog.store.base import Store
from voicelog.wiring import House

Run = Callable[..., str]
PASSPHRASE = "made up words of no use"
LOCKED = {"safe passphrase", "safe recovery-key"}


def commands(command: Any, path: tuple[str, ...] = ()) -> Iterator[tuple[str, str]]:
    """The name of every command and group, and its help."""
    yield " ".join(path), command.help or ""
    for name, inner in getattr(command, "commands", {}).items():
        yield from commands(inner, (*path, name))


COMMANDS = dict(commands(typer.main.get_command(app)))


def example(help_text: str) -> str:
    found = re.search(r"Example: (voicelog .*)", help_text, re.DOTALL)
    assert found, "there is no example"
    return " ".join(found[1].split())


@pytest.mark.parametrize("name", COMMANDS)
def test_help_opens_with_a_sentence_and_has_an_example(name: str) -> None:
    first, *rest = COMMANDS[name].split("\n\n")
    assert re.fullmatch(r"[A-Z][^\n]*[.]", first.split("\n")[0].strip()), first
    assert example(COMMANDS[name]).split()[1:2] == name.split()[:1] or not name
    assert rest


@pytest.mark.parametrize("name", COMMANDS)
def test_help_names_no_type_of_python(name: str) -> None:
    shown = CliRunner().invoke(app, [*name.split(), "--help"])
    assert shown.exit_code == 0
    assert not re.search(r"<\w+|\bstr\b|\bbool\b", shown.output)


@pytest.fixture
def practice(
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    dictation: Path,
    dictated: Callable[[Store], str],
    sound_card: Any,
) -> Callable[[str], Run]:
    """A practice with one visit, in a folder with the files that the examples name."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("VOICELOG_SETTINGS", str(tmp_path / "settings.toml"))
    monkeypatch.setenv("VOICELOG_DATA_FOLDER", str(tmp_path / "data"))
    Path("dictation.wav").write_bytes(dictation.read_bytes())
    monkeypatch.setattr(devices, "load_sounddevice", lambda: sound_card)
    monkeypatch.setattr(House, "microphone", lambda *_: SoundFile(dictation))
    monkeypatch.setattr(House, "voice", lambda _: PrintedVoice(lambda text: None))
    monkeypatch.setattr(demo, "RECORDING", str(dictation))
    monkeypatch.setattr(setup_practice, "RECORDING", str(dictation))
    monkeypatch.setattr(desk, "webbrowser", SimpleNamespace(open=lambda url: True))
    closing = SimpleNamespace(Thread=threading.Thread, Event=_Interrupted)
    monkeypatch.setattr(desk, "threading", closing)
    monkeypatch.setattr(VoskModels, "install", lambda self, report: _Model())

    def run(line: str, typed: str = "") -> str:
        done = CliRunner().invoke(app, shlex.split(line)[1:], input=typed, catch_exceptions=False)
        assert done.exit_code == 0, done.output
        return done.output

    def prepared(name: str) -> Run:
        if name in LOCKED:
            monkeypatch.setenv("VOICELOG_ENCRYPTED", "true")
            monkeypatch.setenv("VOICELOG_PASSPHRASE", PASSPHRASE)
            monkeypatch.setenv("VOICELOG_NEW_PASSPHRASE", PASSPHRASE + " at all")
        store = House(Settings()).store()
        dictated(store)
        store.close()
        if name == "import":
            run("voicelog archive C-014 -o C-014.zip")
        if name in ("words edit", "words remove"):
            run('voicelog words add drill "sled push"')
        if name == "words import":
            run("voicelog words export words.toml")
        if name == "restore":
            run("voicelog backup today.sqlite")
        return run

    return prepared


def _is_installed() -> bool:
    try:
        distribution("voicelog")
    except PackageNotFoundError:
        return False
    return True


class _Model:
    name, folder = "a model", "a folder"


class _Interrupted:
    """Somebody presses Ctrl+C instead of waiting."""

    def wait(self) -> None:
        raise KeyboardInterrupt


@pytest.mark.parametrize("name", [name for name in COMMANDS if name])
def test_the_example_runs(practice: Callable[..., Any], name: str) -> None:
    if name == "licences" and not _is_installed():
        pytest.skip("this copy of voicelog was never installed")
    run = practice(name)
    answers = {"forget": "y\n", "tidy": "y\n", "screen": "q\ny\n", "review": "q\n"}
    typed = answers.get(name, "\n" * 20 if name == "setup" else "")
    if name == "listen":
        run("voicelog screen C-014", "n\n" * len(House(Settings()).tables.screen) + "y\n")
    run(example(COMMANDS[name]), typed)


def test_transcribe_names_all_that_it_can_wait_for() -> None:
    shown = CliRunner().invoke(app, ["transcribe", "--help"], terminal_width=120).output
    told = " ".join(re.sub(r"[│\s]+", " ", shown).split("What is waited for: ")[1].split()[:9])
    assert [each for each in get_args(Expect) if each not in told] == []


def test_listen_says_that_keys_do_nothing_beside_a_recording() -> None:
    assert "With --audio" in COMMANDS["listen"]
    assert "only Ctrl-C counts" in COMMANDS["listen"]
