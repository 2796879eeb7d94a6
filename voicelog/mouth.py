"""The tool's own voice within a visit: it says things, and remembers what it could not say."""

from collections.abc import Callable

from voicelog.errors import SpeechError
from voicelog.speech.base import Tone, Voice


class Mouth:
    """Says sentences and gives tones through a voice.

    `over` is called when a sound is over, `trouble` with an error when there was none: the earpiece
    is gone. A failing voice ends no visit; but a yes counts for nothing while there is something
    unsaid, since nobody has heard what it would affirm.
    """

    def __init__(
        self, voice: Voice, over: Callable[[], None], trouble: Callable[[SpeechError], None]
    ) -> None:
        self._voice = voice
        self._over = over
        self._trouble = trouble
        self._unsaid = ""

    def say(self, text: str) -> bool:
        """Say it. Whether it could be said."""
        self._unsaid = text
        if self._sound(lambda: self._voice.say(text)):
            self._unsaid = ""
        return not self._unsaid

    def tone(self, tone: Tone) -> None:
        """Give a tone."""
        self._sound(lambda: self._voice.tone(tone))

    def make_up(self) -> bool:
        """Say now what could not be said before. Whether there was anything."""
        if not self._unsaid:
            return False
        self.say(self._unsaid)
        return True

    def _sound(self, make: Callable[[], None]) -> bool:
        try:
            make()
        except SpeechError as error:
            self._trouble(error)
            return False
        finally:
            self._over()
        return True
