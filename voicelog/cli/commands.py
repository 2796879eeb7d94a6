"""Every command by its name, each loaded when it is wanted: listening starts without the others."""

from collections import UserDict
from importlib import import_module
from typing import Any

import typer
from typer.core import TyperCommand, TyperGroup
from typer.main import get_command, get_group

CHAPTERS = {
    "To begin": {
        "demo": "demo:demo",
        "setup": "setup:setup",
        "check": "check:check",
        "enrol": "enrol:enrol",
        "settings": "settings:settings",
        "devices": "devices:devices",
        "model": "model:app",
        "changes": "changes:changes",
        "licences": "licences:licences",
    },
    "In the room": {
        "screen": "screen_client:screen",
        "listen": "listen:listen",
        "phrases": "phrases:phrases",
        "words": "words:app",
        "transcribe": "transcribe:transcribe",
    },
    "After the visit": {
        "desk": "desk:desk",
        "review": "review:review",
        "visits": "visits:visits",
        "find": "find:find",
        "compare": "compare:compare",
        "progress": "progress:progress",
        "scale": "scales:scale",
        "caseload": "caseload:caseload",
        "sources": "sources:sources",
        "export": "export:export",
        "schema": "export:schema",
    },
    "Keeping the records": {
        "safe": "safe:app",
        "backup": "backup:backup",
        "restore": "backup:restore",
        "archive": "archive:archive",
        "import": "archive:import_file",
        "trail": "trail:trail",
        "tidy": "removal:tidy",
        "forget": "removal:forget",
    },
}
"""The chapters of the help and their commands: the module of this package, and the function or
group in it."""
PLACES = {name: place for chapter in CHAPTERS.values() for name, place in chapter.items()}


class _Brief:
    """Help without the names of Python types: an option is followed by a word for what to type,
    a flag and an argument by nothing."""

    def get_params(self, ctx: Any) -> Any:
        """All parameters, as the help shows them."""
        params = super().get_params(ctx)  # type: ignore[misc]
        for param in params:
            if param.param_type_name == "argument":
                param.display_type_rich = _nothing
            elif param.is_flag:
                param.metavar = ""
            elif param.metavar is None:
                param.metavar = param.opts[0].lstrip("-").upper().replace("-", "_")
        return params


def _nothing(ctx: Any) -> None:
    return None


class Command(_Brief, TyperCommand):
    """One command."""


class Group(_Brief, TyperGroup):
    """A command with commands of its own."""


class Loading(UserDict[str, Any]):
    """Gives a command made from what stands at its place."""

    def __getitem__(self, name: str) -> Any:
        """The command of that name, loaded now. Raises KeyError when there is none."""
        module, _, inside = self.data[name].partition(":")
        found = getattr(import_module(f"voicelog.cli.{module}"), inside)
        command: Any = _group(found) if isinstance(found, typer.Typer) else _alone(found)
        command.name = name
        command.rich_help_panel = next(title for title, held in CHAPTERS.items() if name in held)
        return command


def _alone(function: Any) -> Any:
    holder = typer.Typer(add_completion=False)
    holder.command(cls=Command)(function)
    return get_command(holder)


def _group(found: typer.Typer) -> Any:
    found.info.cls = Group
    for inner in found.registered_commands:
        inner.cls = Command
    return get_group(found)


class Commands(Group):
    """All commands, none of them loaded yet."""

    def __init__(self, **settings: Any) -> None:
        super().__init__(**settings)
        self.commands = Loading(PLACES)
