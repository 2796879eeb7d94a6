"""The command line: arguments in, text and exit codes out. It decides nothing."""

from voicelog.cli.app import main

__all__ = ["main"]
