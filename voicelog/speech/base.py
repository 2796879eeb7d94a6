"""The voice of the tool: what it says and the tones it gives."""

from typing import Literal, Protocol

Tone = Literal["ready", "heard", "saved", "kept", "ask", "trouble", "paused"]
"""ready: listening starts. heard: a dictation was understood. saved: a record is kept for good.
kept: set aside unconfirmed. ask: an answer is wanted. trouble: something failed. paused."""


class Voice(Protocol):
    """Says sentences and gives short tones; returns only when the sound is over.

    While it speaks the microphone counts for nothing (half-duplex). Raises SpeechError.
    """

    def say(self, text: str) -> None:
        """Say a sentence."""
        ...

    def tone(self, tone: Tone) -> None:
        """Give a tone."""
        ...
