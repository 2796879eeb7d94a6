"""The command line: arguments in, text and exit codes out. It decides nothing."""


def main() -> None:
    """Run it. The commands are loaded only now: a process started for a speech engine comes past
    here too, and has no use for them."""
    from voicelog.cli.app import main as run

    run()
