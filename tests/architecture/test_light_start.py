"""What a command does not need it does not load: listening starts without the rest."""

import subprocess
import sys
from importlib import import_module

from voicelog.cli.commands import PLACES

HEAVY = ("flask", "waitress", "spacy", "sqlcipher3", "cryptography", "keyring")
OF_OTHERS = ("fpdf", "markdown_it", "voicelog.cli.archive", "voicelog.corrections", "voicelog.desk")


def _loaded_by(code: str) -> set[str]:
    """The modules loaded when `code` has run."""
    code += "; import sys; print(*sys.modules)"
    ran = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    return set(ran.stdout.split())


def test_no_command_is_loaded_before_it_is_wanted() -> None:
    commands = {f"voicelog.cli.{place.partition(':')[0]}" for place in PLACES.values()}
    assert not _loaded_by("import voicelog.cli.app") & commands


def test_listening_starts_without_what_others_need() -> None:
    assert not _loaded_by("import voicelog.cli.listen") & {*HEAVY, *OF_OTHERS}


def test_listening_itself_loads_neither_the_network_nor_an_engine() -> None:
    """The engine is loaded in its own process, and only there."""
    begun = "from voicelog.cli.options import house; wait = house().hearing_ahead('pocketsphinx')"
    assert not _loaded_by(begun) & {"requests", "urllib3", "pocketsphinx", *OF_OTHERS}


def test_the_engine_s_process_does_without_what_reads_files_of_the_language() -> None:
    assert not _loaded_by("import voicelog.recognisers.pocketsphinx") & {
        "pydantic",
        "typer",
        "rich",
    }


def test_every_command_stands_at_its_place() -> None:
    for place in PLACES.values():
        module, _, name = place.partition(":")
        assert hasattr(import_module(f"voicelog.cli.{module}"), name)
