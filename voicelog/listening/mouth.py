"""The tool's own voice within a visit: it says things, and remembers what it could not say."""

import time
from collections.abc import Callable

from voicelog.errors import SpeechError
from voicelog.listening.presses import Press
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
        self._unsaid: list[str] = []
        self._moved_on_s = self._silent_since_s = 0.0  # by the monotonic clock

    def say(self, text: str) -> None:
        """Say it, or remember it as unsaid."""
        said = self._sound(lambda: self._voice.say(text))
        self._forget(text)
        if not said:
            self._unsaid.append(text)

    def tone(self, tone: Tone) -> None:
        """Give a tone."""
        self._sound(lambda: self._voice.tone(tone))

    def move_on(self, text: str) -> None:
        """Another sentence waits from now on, and this one need not be said any more."""
        self._moved_on_s = time.monotonic()
        self._forget(text)

    def is_too_early(self, answer: Press) -> bool:
        """Whether a key was pressed before what it would answer: a yes before all of it was said, a
        no before it was begun."""
        since_s = self._moved_on_s if answer.key == "negative" else self._silent_since_s
        return answer.at_s <= since_s

    def make_up(self, waits: str) -> bool:
        """Say now what could not be said before, and behind it the sentence that waits for an
        answer, or nothing. Whether there was anything."""
        if not self._unsaid:
            return False
        others = [unsaid for unsaid in self._unsaid if unsaid != waits]
        for text in (*others, waits) if waits else others:
            self.say(text)
        return True

    def _forget(self, text: str) -> None:
        self._unsaid = [unsaid for unsaid in self._unsaid if unsaid != text]

    def _sound(self, make: Callable[[], None]) -> bool:
        try:
            make()
        except SpeechError as error:
            self._trouble(error)
            return False
        finally:
            self._silent_since_s = time.monotonic()
            self._over()
        return True
