"""The command line: arguments in, text and exit codes out. It decides nothing."""

import signal
import sys


def main() -> None:
    """Run it. The commands are loaded only now: a process started for a speech engine comes past
    here too, and has no use for them."""
    try:
        from voicelog.cli.app import main as run

        run()
    except KeyboardInterrupt:  # Ctrl-C before a command had begun
        sys.exit(128 + signal.SIGINT)
