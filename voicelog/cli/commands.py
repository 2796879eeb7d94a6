"""Every command by its name, each loaded when it is wanted: listening starts without the others."""

from collections import UserDict
from importlib import import_module
from typing import Any

import typer
from typer.core import TyperGroup
from typer.main import get_command, get_group

PLACES = {
    "demo": "demo:demo",
    "setup": "setup:setup",
    "screen": "screen_client:screen",
    "listen": "listen:listen",
    "transcribe": "transcribe:transcribe",
    "phrases": "phrases:phrases",
    "visits": "visits:visits",
    "compare": "compare:compare",
    "progress": "progress:progress",
    "scale": "scales:scale",
    "caseload": "caseload:caseload",
    "review": "review:review",
    "desk": "desk:desk",
    "export": "export:export",
    "schema": "export:schema",
    "archive": "archive:archive",
    "import": "archive:import_file",
    "find": "find:find",
    "backup": "backup:backup",
    "restore": "backup:restore",
    "forget": "removal:forget",
    "tidy": "removal:tidy",
    "trail": "trail:trail",
    "settings": "settings:settings",
    "check": "check:check",
    "devices": "devices:devices",
    "licences": "licences:licences",
    "model": "model:app",
    "words": "words:app",
    "safe": "safe:app",
}
"""In the order of the help: the module of this package, and the function or group in it."""


class Loading(UserDict[str, Any]):
    """Gives a command made from what stands at its place."""

    def __getitem__(self, name: str) -> Any:
        """The command of that name, loaded now. Raises KeyError when there is none."""
        module, _, inside = self.data[name].partition(":")
        found = getattr(import_module(f"voicelog.cli.{module}"), inside)
        command = get_group(found) if isinstance(found, typer.Typer) else _alone(found)
        command.name = name
        return command


def _alone(function: Any) -> Any:
    holder = typer.Typer(add_completion=False)
    holder.command()(function)
    return get_command(holder)


class Commands(TyperGroup):
    """All commands, none of them loaded yet."""

    def __init__(self, **settings: Any) -> None:
        super().__init__(**settings)
        self.commands = Loading(PLACES)
