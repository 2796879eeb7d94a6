"""Enrolling at the microphone: each phrase is shown, said and heard, and once more if need be."""

from collections.abc import Iterator
from typing import TYPE_CHECKING

from rich.console import Console
from rich.panel import Panel
from rich.text import Text

from voicelog.audio.base import Block, Samples, Source
from voicelog.audio.endpointer import Endpointer, SpeechEnded
from voicelog.audio.level import SILENCE_DBFS, NoiseFloor, level_dbfs
from voicelog.audio.sound_facts import is_clipped
from voicelog.enrolment.learning import Enrolment, Take
from voicelog.errors import AudioError, SpeechError
from voicelog.sound_check import LONGEST_S, SoundCheck
from voicelog.wiring import House

if TYPE_CHECKING:
    from voicelog.speech.base import Voice


class ReadingRoom:
    """One reading of all phrases: what is said aloud by the tool counts for nothing."""

    def __init__(self, built: House, source: Source, console: Console) -> None:
        self._source = source
        self._console = console
        self._voice: Voice | None = built.voice() if built.settings.spoken else None
        self._endpointer = Endpointer()  # one for all phrases, as it comes to know the room
        self._room = NoiseFloor(frames=10_000, at_least=1)
        self._room_dbfs = SILENCE_DBFS

    def takes(self, enrolment: Enrolment) -> Iterator[Take]:
        """The phrases that could be taken, in their order. Raises AudioError, RecogniserError."""
        self._console.print("Read each phrase as you would in the room. Ctrl-C stops and keeps")
        self._console.print("nothing. A quiet room is best; the sound is not kept.")
        with self._source:
            blocks = iter(self._source)
            for number, phrase in enumerate(enrolment.phrases, start=1):
                place = f"{number} of {len(enrolment.phrases)}"
                take = self._asked(enrolment, phrase, place, blocks)
                if isinstance(take, str):
                    self._console.print(f"{take}. Once more, please.", style="yellow")
                    take = self._asked(enrolment, phrase, place, blocks)
                if isinstance(take, str):
                    self._console.print(f"{take}. It is left out.", style="yellow")
                else:
                    self._console.print("Heard.", style="green")
                    yield take

    def _asked(
        self, enrolment: Enrolment, phrase: str, place: str, blocks: Iterator[Block]
    ) -> Take | str:
        """Show and say the phrase, and hear it: the take, or why it is none."""
        self._console.print(Panel(Text(phrase, "bold", justify="center"), title=place, padding=2))
        self._say(phrase)
        samples = self._heard(blocks)
        levels = SoundCheck(self._room_dbfs, level_dbfs(samples), is_clipped(samples), phrase)
        for remark in levels.remarks:
            self._console.print(Text(remark, "yellow"))
        return enrolment.take(phrase, samples)

    def _say(self, phrase: str) -> None:
        """Say it aloud, as long as that works."""
        if self._voice is None:
            return
        try:
            self._voice.say(phrase)
        except SpeechError as error:
            self._console.print(Text(f"{error.what}; the phrases are only shown.", "yellow"))
            self._voice = None
        self._source.drop_unread()

    def _heard(self, blocks: Iterator[Block]) -> Samples:
        """The next utterance. Raises AudioError when the sound ends before it."""
        endpointer, waited_s = self._endpointer, 0.0
        endpointer.reset()
        for block in blocks:
            if block.gone is not None:
                continue
            self._room_dbfs = self._room.update(level_dbfs(block.samples))
            for event in endpointer.feed(block):
                if isinstance(event, SpeechEnded):
                    return event.utterance.for_engine
            if waited_s <= LONGEST_S < waited_s + block.duration_s and not endpointer.speaking:
                nobody = SoundCheck(self._room_dbfs, None, clipped=False, text="")
                self._console.print(Text(next(nobody.remarks), "yellow"))
            waited_s += block.duration_s
        raise AudioError(
            "The sound ended before all phrases were read",
            kept="Nothing was learnt, and what was there before is as it was",
            do="Look after the microphone, and run `voicelog enrol` again",
        )
