"""All commands in one place, and what happens when one cannot be done.

Exit codes: 0 done, 1 could not, 2 wrong usage, 128 and more told to end (`ending`). Data goes to
standard output, talk to standard error, all in UTF-8 where no terminal is (`letters`).
"""

import os
import sys
from typing import Annotated

import typer

from voicelog import __version__
from voicelog.cli.commands import Commands
from voicelog.cli.ending import leave, when_told_to_end
from voicelog.cli.letters import fill_closed_streams, use_all_letters
from voicelog.cli.terminal import say
from voicelog.cli.unexpected import tell, tell_no_words
from voicelog.errors import VoicelogError
from voicelog.recognisers.engine_process import begin_ahead

app = typer.Typer(
    cls=Commands,
    help="Record movement trials by voice, hands free.\n\n"
    "You say a result, voicelog reads it back, and keeps it when you say affirm. "
    "It describes; it never diagnoses and never clears anyone.\n\n"
    "Example: voicelog demo",
    no_args_is_help=True,
    pretty_exceptions_enable=False,
    context_settings={"help_option_names": ["-h", "--help"]},
)


def _tell_version(wanted: bool) -> None:
    if wanted:
        typer.echo(__version__)
        raise typer.Exit


@app.callback()
def voicelog(
    version: Annotated[
        bool,
        typer.Option(
            "--version", help="Say which version this is.", is_eager=True, callback=_tell_version
        ),
    ] = False,
) -> None:
    """Whatever command follows; see the help of `app`."""


def main() -> None:
    """Run the command line."""
    tell_no_words()
    fill_closed_streams()
    use_all_letters()
    when_told_to_end(leave)
    _begin_engine(sys.argv[1:])
    try:
        app()
    except VoicelogError as error:
        say(f"voicelog: {error}", style="bold")
        sys.exit(1)
    except BrokenPipeError:
        # The reader of our output went away; nothing more can be said to it.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        sys.exit(1)
    except Exception as error:  # here, as the library of commands has a hook of its own
        tell(error)
        sys.exit(1)


def _begin_engine(arguments: list[str]) -> None:
    """An engine's process takes longest to be ready, so it begins before the command is loaded."""
    if arguments[:1] == ["listen"] and not {"-h", "--help"} & set(arguments):
        begin_ahead("voicelog.recognisers.pocketsphinx")
