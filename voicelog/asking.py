"""Asking the safety screen by voice: says each question, listens for one command at a time."""

from collections.abc import Callable, Mapping

from voicelog.audio.base import Source, Utterance
from voicelog.audio.endpointer import Endpointer, SpeechEnded
from voicelog.dialogue.questions import COMMANDS, Answer, Asking, reply
from voicelog.grammar.posterior import Prior
from voicelog.hearing import Hearing
from voicelog.speech.base import Voice


class Aloud:
    """One asking by voice. `heard` gets each command that was understood.

    `deaf` is true when what the tool says can reach the microphone.
    """

    def __init__(
        self,
        hearing: Hearing,
        voice: Voice,
        endpointer: Endpointer,
        *,
        heard: Callable[[str], None],
        deaf: bool,
    ) -> None:
        self._hearing = hearing
        self._voice = voice
        self._endpointer = endpointer
        self._heard = heard
        self._deaf = deaf
        self.answers: Mapping[str, Answer] = {}
        """What has been answered so far; it counts only when the asking ends in "kept"."""

    def ask(self, asking: Asking, source: Source) -> Asking:
        """Ask until the answers are kept or left, or the sound ends.

        Raises AudioError or RecogniserError when an edge breaks; no answer counts then.
        """
        with source:
            self._say((asking.sentence,), source)
            for block in source:
                if block.lost_s:
                    self._endpointer.reset()
                for event in self._endpointer.feed(block):
                    if isinstance(event, SpeechEnded):
                        asking = self._reply(asking, event.utterance, source)
                if asking.stage in ("kept", "left"):
                    return asking
            for event in self._endpointer.flush():
                if isinstance(event, SpeechEnded):
                    asking = self._reply(asking, event.utterance, source)
        return asking

    def _reply(self, asking: Asking, utterance: Utterance, source: Source) -> Asking:
        meant, _ = self._hearing.whole(utterance, "command", Prior())
        command = meant.intent.command if meant.intent is not None else None
        if command is None or command not in COMMANDS:
            if meant.reason == "unsure command":
                self._say((asking.sentence,), source)
            return asking
        self._heard(command)
        asking, sentences = reply(asking, COMMANDS[command])
        self.answers = asking.answers
        self._say(sentences, source)
        return asking

    def _say(self, sentences: tuple[str, ...], source: Source) -> None:
        for sentence in sentences:
            self._voice.say(sentence)
        if self._deaf:
            source.drop_unread()
            self._endpointer.reset()
