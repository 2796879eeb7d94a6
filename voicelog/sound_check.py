"""Tries a microphone or a recording: how loud, over how loud a room, and what is heard."""

from collections.abc import Iterator
from dataclasses import dataclass

from voicelog.audio.base import Source
from voicelog.audio.endpointer import Endpointer, SpeechEnded
from voicelog.audio.highs import are_missing
from voicelog.audio.level import SILENCE_DBFS, NoiseFloor, level_dbfs
from voicelog.audio.sound_facts import QUIET_DBFS, is_clipped
from voicelog.grammar.posterior import Prior
from voicelog.listening.hearing import Hearing

LONGEST_S = 30.0
NEAR_DB, WANTED_DB = 10.0, 20.0
"""Speech over room: below the first whole records are often lost, above the second hardly any
(measured with meeting babble mixed into dictations, 25 and 29 of 30 at best)."""


@dataclass(frozen=True, slots=True)
class SoundCheck:
    """What was heard in the first dictation of a source, levels in dBFS.

    `text` is empty when nothing was understood; `speech_dbfs` is None when nobody spoke; `narrow`
    means that it carries no more than a telephone does.
    """

    room_dbfs: float
    speech_dbfs: float | None
    clipped: bool
    text: str
    narrow: bool = False

    @property
    def remarks(self) -> Iterator[str]:
        """What to do about it, one sentence each; none when all is well."""
        if self.speech_dbfs is None:
            yield "Nobody was heard. Is it the right microphone, and is it allowed to listen?"
            return
        if self.speech_dbfs <= QUIET_DBFS:
            yield "You are very quiet. Bring the microphone closer, or turn it up."
        if self.clipped:
            yield "It is too loud and clips. Turn the microphone down, or move it away."
        if self.narrow:
            yield "It carries no more than a telephone does. A wired microphone hears words better."
        over_db = self.speech_dbfs - self.room_dbfs
        if over_db < NEAR_DB:
            yield "The room is nearly as loud as you. A small microphone at the collar helps most."
        elif over_db < WANTED_DB:
            yield "The room is loud. It works, with more questions back; closer is better."
        if not self.text:
            yield "The phrase was not understood. Say it in one breath, with a pause after it."


def sound_check(source: Source, hearing: Hearing, *, longest_s: float = LONGEST_S) -> SoundCheck:
    """Listen until a dictation is understood, the sound ends, or `longest_s` seconds are over.

    Raises AudioError or RecogniserError.
    """
    room = NoiseFloor(frames=10_000, at_least=1)
    endpointer = Endpointer()
    room_dbfs, text = SILENCE_DBFS, ""
    levels: list[float] = []
    clipped = narrow = False
    with source:
        for block in source:
            room_dbfs = room.update(level_dbfs(block.samples))
            for event in endpointer.feed(block):
                if isinstance(event, SpeechEnded):
                    samples = event.utterance.samples
                    levels.append(level_dbfs(samples))
                    clipped |= is_clipped(samples)
                    narrow = are_missing(samples)
                    meant, _ = hearing.whole(event.utterance, "any", Prior())
                    text = meant.text if meant.accepted else ""
            if text or block.start_s + block.duration_s >= longest_s:
                break
    return SoundCheck(room_dbfs, max(levels, default=None), clipped, text, narrow)
