"""The voice in the ear."""

from voicelog.audio.base import RATE_HZ, Player, Samples
from voicelog.errors import AudioError, SpeechError
from voicelog.speech.base import Tone
from voicelog.speech.espeak import synthesise
from voicelog.speech.tones import tone_samples

SLOWEST_WPM, FASTEST_WPM = 80, 450
"""The range of speech rates that the synthesiser honours, in words a minute."""


class SpokenVoice:
    """Says sentences through a player. Raises SpeechError, also when the player fails.

    `rate_wpm` is the speech rate in words a minute, brisk by default: she hears it all day. `voice`
    names a voice of eSpeak NG; the default is one that a recogniser understands well.
    """

    def __init__(self, player: Player, *, rate_wpm: int = 190, voice: str = "en-us+f2") -> None:
        if not SLOWEST_WPM <= rate_wpm <= FASTEST_WPM:
            what = f"A speech rate of {rate_wpm} words a minute is not possible"
            raise SpeechError(what, do=f"Choose one from {SLOWEST_WPM} to {FASTEST_WPM}")
        self._player = player
        self._rate_wpm = rate_wpm
        self._voice = voice
        # Loads the library and meets a wrong voice now, not in the middle of the first read-back.
        synthesise("ready", voice=voice, rate_wpm=rate_wpm)

    def say(self, text: str) -> None:
        """Say a sentence; returns when it is over."""
        samples, rate_hz = synthesise(text, voice=self._voice, rate_wpm=self._rate_wpm)
        self._play(samples, rate_hz)

    def tone(self, tone: Tone) -> None:
        """Give a tone; returns when it is over."""
        self._play(tone_samples(tone), RATE_HZ)

    def _play(self, samples: Samples, rate_hz: int) -> None:
        try:
            self._player.play(samples, rate_hz)
        except AudioError as error:
            raise SpeechError(error.what, kept=error.kept, do=error.do) from error
