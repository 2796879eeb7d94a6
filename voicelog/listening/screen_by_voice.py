"""Asking the safety screen by voice: says each question, listens for one command at a time."""

from collections.abc import Callable, Mapping

from voicelog.audio.base import Source, Utterance
from voicelog.audio.endpointer import Endpointer, SpeechEnded
from voicelog.dialogue.safety_screen import COMMANDS, Answer, Asking, reply
from voicelog.errors import SpeechError
from voicelog.grammar.posterior import Prior
from voicelog.listening.hearing import Hearing
from voicelog.listening.mouth import Mouth
from voicelog.speech.base import Voice


class ScreenByVoice:
    """One asking by voice. `heard` gets each command that was understood, `trouble` an error
    whenever nothing could be said.

    `deaf` is true when what the tool says can reach the microphone.
    """

    def __init__(
        self,
        hearing: Hearing,
        voice: Voice,
        endpointer: Endpointer,
        *,
        heard: Callable[[str], None],
        trouble: Callable[[SpeechError], None],
        deaf: bool,
    ) -> None:
        self._hearing = hearing
        self._mouth = Mouth(voice, self._sounded, trouble)
        self._endpointer = endpointer
        self._heard = heard
        self._deaf = deaf
        self._source: Source | None = None
        self.answers: Mapping[str, Answer] = {}
        """What has been answered so far; it counts only when the asking ends in "kept"."""

    def ask(self, asking: Asking, source: Source) -> Asking:
        """Ask until the answers are kept or left, or the sound ends.

        Raises AudioError or RecogniserError when an edge breaks; no answer counts then.
        """
        self._source = source
        with source:
            self._mouth.say(asking.sentence)
            for block in source:
                if block.lost_s:
                    self._endpointer.reset()
                for event in self._endpointer.feed(block):
                    if isinstance(event, SpeechEnded):
                        asking = self._reply(asking, event.utterance)
                if asking.stage in ("kept", "left"):
                    return asking
            for event in self._endpointer.flush():
                if isinstance(event, SpeechEnded):
                    asking = self._reply(asking, event.utterance)
        return asking

    def _reply(self, asking: Asking, utterance: Utterance) -> Asking:
        meant, _ = self._hearing.whole(utterance, "command", Prior())
        command = meant.intent.command if meant.intent is not None else None
        if command is None or command not in COMMANDS:
            if meant.reason == "unsure command":
                self._mouth.say(asking.sentence)
            return asking
        self._heard(command)
        if self._mouth.make_up(asking.sentence):  # nobody can answer what nobody heard
            return asking
        asking, sentences = reply(asking, COMMANDS[command])
        self.answers = asking.answers
        for sentence in sentences:
            self._mouth.say(sentence)
        return asking

    def _sounded(self) -> None:
        """Forget what the microphone heard while the tool spoke."""
        if self._deaf and self._source is not None:
            self._source.drop_unread()
            self._endpointer.reset()
