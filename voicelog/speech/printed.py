"""A voice for the eye: for files, tests and machines without a loudspeaker."""

from collections.abc import Callable

from voicelog.speech.base import Tone


class PrintedVoice:
    """Shows what would be said, one line at a time."""

    def __init__(self, write: Callable[[str], object]) -> None:
        self._write = write

    def say(self, text: str) -> None:
        """Show a sentence."""
        self._write(text)

    def tone(self, tone: Tone) -> None:
        """Show the name of a tone."""
        self._write(f"({tone})")
