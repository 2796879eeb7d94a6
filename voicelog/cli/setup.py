"""`voicelog setup`: the first hour, one step after the other; each can be left out or repeated."""

from collections.abc import Callable
from pathlib import Path
from typing import Annotated

import typer
from rich.console import Console
from rich.text import Text

from voicelog.cli.asking import one_key
from voicelog.cli.options import DataFolder, one_of
from voicelog.cli.setup_practice import practice
from voicelog.cli.setup_steps import Walk, client, engine, microphone, records, voice
from voicelog.errors import ConfigurationError, VoicelogError

STEPS: dict[str, tuple[str, Callable[[Walk], None]]] = {
    "microphone": ("how loud you are, how loud the room is, and one test phrase", microphone),
    "voice": ("the voice that reads back", voice),
    "engine": ("what turns sound into words", engine),
    "records": ("where the records lie, and how they are locked", records),
    "client": ("the first client's code, and the safety screen", client),
    "practice": ("dictate one record, hear it read back, affirm it", practice),
}


def setup(
    audio: Annotated[
        Path | None,
        typer.Option(
            "--audio", help="A WAV or FLAC file in place of the microphone.", metavar="FILE"
        ),
    ] = None,
    only: Annotated[
        list[str] | None, typer.Option("--only", help=f"Only this step: {', '.join(STEPS)}.")
    ] = None,
    data: DataFolder = None,
) -> None:
    """Walk through microphone, voice, engine, records, first client and a practice record.

    Every step can be left out, repeated, and done again another day. Enter takes what stands first.

    Example: voicelog setup
    """
    wanted = [one_of(name, tuple(STEPS), "--only") for name in only or STEPS]
    walk = Walk(Console(highlight=False), audio, data)
    if not only:
        walk.console.print(
            "Six steps to the first record. What you choose is kept in your settings file.\n"
            "It describes what you say; it never diagnoses and never clears anyone."
        )
    if _all_done(walk, wanted):
        _what_next(walk)
    else:
        walk.console.print("\nStopped here. Go on another time with: voicelog setup")


def _all_done(walk: Walk, wanted: list[str]) -> bool:
    """Go through the steps; false when the person stopped. Raises ConfigurationError where what is
    typed ends before."""
    try:
        return all(
            _step(walk, name, f"{number} of {len(wanted)}")
            for number, name in enumerate(wanted, start=1)
        )
    except KeyboardInterrupt:
        walk.console.print()
        return False
    except EOFError as error:
        walk.console.print()
        raise ConfigurationError(
            "What was typed came to its end before the setup did",
            kept="What you chose until then is kept, and nothing more was done",
            do="Go on with: voicelog setup",
        ) from error


def _step(walk: Walk, name: str, place: str) -> bool:
    """Do one step as often as is wanted; false to stop the walk."""
    what, do = STEPS[name]
    walk.console.print(Text(f"\n{place}  {name.capitalize()}: {what}", "bold"))
    answer = one_key(walk.console, {"": "do it", "s": "leave it out", "q": "stop here"})
    while answer not in ("s", "q"):
        try:
            do(walk)
        except VoicelogError as error:
            walk.console.print(Text(f"{error}", "yellow"))
            walk.console.print("You can go on without it, and do this step again later.")
        answer = one_key(walk.console, {"": "go on", "r": "once more", "q": "stop here"}) or "s"
    return answer != "q"


def _what_next(walk: Walk) -> None:
    code = walk.client or "C-014"
    walk.console.print(Text("\nThat is all. In the room:", "bold"))
    for command, what in (
        (f"voicelog screen {code}", "the safety screen, before any trial"),
        (f"voicelog listen --client {code}", "dictate, hear it read back, affirm"),
        ("voicelog phrases --form pdf -o sheet.pdf", "the cheat sheet to print"),
        ("voicelog settings", "what is set, and what else can be"),
    ):
        walk.console.print(f"  {command:<41} {what}")
