"""What a command does not need it does not load: listening starts without the rest."""

import os
import subprocess
import sys
from importlib import import_module
from pathlib import Path

from voicelog.cli.commands import PLACES
from voicelog.recognisers.transcriber import weights_folder

HEAVY = ("flask", "waitress", "spacy", "sqlcipher3", "cryptography", "keyring")
OF_OTHERS = ("fpdf", "markdown_it", "voicelog.cli.archive", "voicelog.corrections", "voicelog.desk")


def _loaded_by(code: str, *folders: Path) -> set[str]:
    """The modules loaded when `code` has run, with packages of the folders installed as well."""
    code += "; import sys; print(*sys.modules)"
    installed = os.pathsep.join((*map(str, folders), os.environ["PYTHONPATH"]))
    ran = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, check=True,
        env=os.environ | {"PYTHONPATH": installed, "PYDANTIC_DISABLE_PLUGINS": ""},
    )  # fmt: skip
    return set(ran.stdout.split())


def test_no_command_is_loaded_before_it_is_wanted() -> None:
    commands = {f"voicelog.cli.{place.partition(':')[0]}" for place in PLACES.values()}
    assert not _loaded_by("import voicelog.cli.app") & commands


def test_listening_starts_without_what_others_need() -> None:
    assert not _loaded_by("import voicelog.cli.listen") & {*HEAVY, *OF_OTHERS}


def test_listening_itself_loads_neither_the_network_nor_an_engine() -> None:
    """The engine is loaded in its own process, and only there."""
    begun = "from voicelog.cli.options import house; wait = house().hearing_ahead('pocketsphinx')"
    network = {"requests", "urllib3"}
    engines = {"pocketsphinx", "onnxruntime", "moonshine_voice"}
    assert not _loaded_by(begun) & {*network, *engines, *OF_OTHERS}


def test_the_engine_s_process_does_without_what_reads_files_of_the_language() -> None:
    assert not _loaded_by("import voicelog.recognisers.pocketsphinx") & {
        "pydantic",
        "typer",
        "rich",
    }


def test_the_second_hearing_is_loaded_with_the_first_utterance_and_its_package_never() -> None:
    code = "import voicelog.recognisers.pocketsphinx, voicelog.recognisers.transcriber as t; {}"
    assert "onnxruntime" not in _loaded_by(code.format("t.weights_folder()"))
    if weights_folder() is not None:
        loaded = _loaded_by(code.format("t.Transcriber(t.weights_folder()).open()"))
        assert "onnxruntime" in loaded
        assert not loaded & {"moonshine_voice", "requests", "sounddevice"}


def test_no_plug_in_of_another_package_sees_what_was_said(tmp_path: Path) -> None:
    """A package may offer itself to pydantic, and is then handed all that passes through it."""
    offered = tmp_path / "onlooker-1.0.dist-info"
    offered.mkdir()
    (offered / "METADATA").write_text("Metadata-Version: 2.1\nName: onlooker\nVersion: 1.0\n")
    (offered / "entry_points.txt").write_text("[pydantic]\nonlooker = onlooker:Looks\n")
    looks = (
        "class Looks:\n    def new_schema_validator(self, *_, **__):\n        return (None,) * 3\n"
    )
    (tmp_path / "onlooker.py").write_text(f"{looks}Looks = Looks()\n")
    model = "import pydantic\nclass Said(pydantic.BaseModel):\n    pain: int\nSaid(pain=4)"
    assert "onlooker" in _loaded_by(model, tmp_path), "else this test would see nothing"
    said = "from voicelog.records.content import Trial; Trial(pain=4)"
    assert "onlooker" not in _loaded_by(said, tmp_path)


def test_every_command_stands_at_its_place() -> None:
    for place in PLACES.values():
        module, _, name = place.partition(":")
        assert hasattr(import_module(f"voicelog.cli.{module}"), name)
