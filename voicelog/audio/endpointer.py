"""Where speech begins and ends in a stream of blocks.

Each frame of 30 ms is voiced or not: the detector of the pocketsphinx library must say so, and it
must stand out from the room; where that is loud, once it is turned down (see `near_voice`). Speech
starts when enough of the last few frames are voiced, and ends when hardly any of the last two
thirds of a second is, or of a little more in a loud room. The two windows differ because one short
word must start an utterance at once, while a breath inside a dictation must not end it. Where
somebody further away opened an utterance and a nearer voice follows, it starts anew with that.

In a quiet room an engine gets the sound as it is. Where the room is loud it gets the near voice,
with a quiet room behind it (see `quiet_room`). The sound that is kept is never touched.
"""

from collections import deque
from dataclasses import dataclass

import numpy as np
from pocketsphinx import Vad

from voicelog.audio.base import RATE_HZ, Block, Samples, Utterance
from voicelog.audio.endpointing import FRAME_S, Endpointing, frames_in
from voicelog.audio.level import SILENCE_DBFS, VoiceLevel, frames_of_voice, level_dbfs
from voicelog.audio.near_voice import NearVoice
from voicelog.audio.quiet_room import QuietRoom
from voicelog.audio.room import Room
from voicelog.audio.voicing import Voicing

FRAME_SAMPLES = round(FRAME_S * RATE_HZ)


@dataclass(frozen=True, slots=True)
class SpeechStarted:
    """Somebody began to speak; the samples follow in SpeechContinued. An utterance that never
    ended is forgotten: a nearer voice began, or it was the room that spoke."""

    start_s: float


@dataclass(frozen=True, slots=True, eq=False)
class SpeechContinued:
    """More samples of the running utterance, for an engine that works while she speaks."""

    samples: Samples


@dataclass(frozen=True, slots=True)
class SpeechPaused:
    """Silence for a while: the utterance may be over, and an engine may work ahead. Comes once for
    each silence."""


@dataclass(frozen=True, slots=True, eq=False)
class SpeechEnded:
    """The utterance is over; its samples for an engine are all those given before, in order."""

    utterance: Utterance


SpeechEvent = SpeechStarted | SpeechContinued | SpeechPaused | SpeechEnded


@dataclass(frozen=True, slots=True, eq=False)
class _Frame:
    """30 ms of sound as it came, and of the near voice in it."""

    sound: Samples
    near: Samples


class Endpointer:
    """Cuts a stream of blocks into utterances. Holds at most `longest_s` of sound."""

    def __init__(self, endpointing: Endpointing | None = None) -> None:
        set_to = endpointing or Endpointing()
        self._vad = Vad(set_to.strictness, RATE_HZ, FRAME_S)
        self._near_voice = NearVoice()
        self._room = Room(set_to)
        self._set_to = set_to
        self._start_frames = frames_in(set_to.start_window_s)
        self._lead_frames = frames_in(set_to.pre_roll_s) + self._start_frames
        self._longest_frames = frames_in(set_to.longest_s)
        self._before: deque[_Frame] = deque(maxlen=frames_in(set_to.longest_before_s))
        self._voicing = Voicing(set_to)
        self._utterance: list[_Frame] = []
        self._level = VoiceLevel(self._start_frames)
        self._in_loud_room = self._in_new_room = False
        self._quiet_room = QuietRoom(SILENCE_DBFS)
        self._given: list[Samples] = []
        self._start_s = 0.0
        self._rest = _Frame(np.zeros(0, np.int16), np.zeros(0, np.int16))
        self._rest_s = 0.0

    @property
    def speaking(self) -> bool:
        """Whether an utterance is in hand."""
        return bool(self._utterance)

    def feed(self, block: Block) -> list[SpeechEvent]:
        """What this block brings, in order. Blocks may have any length."""
        now_s = block.start_s - len(self._rest.sound) / RATE_HZ
        return self._take(block.samples, self._near_voice.feed(block.samples), now_s)

    def flush(self) -> list[SpeechEvent]:
        """End the utterance in hand, if any, as cut: the source ended inside it."""
        events = self._take(np.zeros(0, np.int16), self._near_voice.flush(), self._rest_s)
        if self.speaking:
            events += [self._goes_on([self._rest]), *self._end(cut=True)]
        self.reset()
        return events

    def reset(self) -> None:
        """Throw away everything in hand: the tool itself spoke, or sound was lost."""
        self._near_voice.reset()
        self._before.clear()
        self._voicing.clear()
        self._utterance, self._given = [], []
        self._rest = _Frame(np.zeros(0, np.int16), np.zeros(0, np.int16))

    def _take(self, sound: Samples, near: Samples, now_s: float) -> list[SpeechEvent]:
        """Go through every whole frame of which the near voice is known. `now_s` is where the rest
        of before begins."""
        sound = np.concatenate([self._rest.sound, sound])
        near = np.concatenate([self._rest.near, near])
        whole = len(near) - len(near) % FRAME_SAMPLES
        events: list[SpeechEvent] = []
        for first in range(0, whole, FRAME_SAMPLES):
            last = first + FRAME_SAMPLES
            events += self._frame(
                _Frame(sound[first:last], near[first:last]), now_s + last / RATE_HZ
            )
        self._rest = _Frame(sound[whole:].copy(), near[whole:].copy())
        self._rest_s = now_s + whole / RATE_HZ
        return events

    def _frame(self, frame: _Frame, end_s: float) -> list[SpeechEvent]:
        self._voicing.add(self._is_voiced(frame))
        if not self.speaking:
            self._before.append(frame)
            return self._maybe_start(end_s)
        events: list[SpeechEvent] = [self._goes_on([frame])]
        if self._another_came():
            events += self._start(self._utterance[-self._lead_frames :], end_s)
        elif self._was_the_room():
            events += self._again(end_s)
        elif len(self._utterance) >= self._longest_frames:
            events += self._end(cut=True)
        elif self._is_over():
            events += self._end(cut=False)
        elif self._voicing.pauses():
            events.append(SpeechPaused())
        return events

    def _is_voiced(self, frame: _Frame) -> bool:
        sound_dbfs = level_dbfs(frame.sound)
        self._room.hear(sound_dbfs)
        if not self.speaking:
            self._in_loud_room = self._room.is_loud_beside(sound_dbfs)
        heard = self._heard(frame)
        heard_dbfs = level_dbfs(heard)
        loudest_dbfs = None
        if self.speaking:
            self._level.update(heard_dbfs)
            loudest_dbfs = self._level.loudest_dbfs
        needed_dbfs = self._room.needed_dbfs(loudest_dbfs, in_loud_room=self._in_loud_room)
        is_voiced = heard_dbfs > needed_dbfs and self._vad.is_speech(heard.tobytes())
        if not (self.speaking or is_voiced):
            self._room.hear_alone(sound_dbfs)
        return bool(is_voiced)

    def _heard(self, frame: _Frame) -> Samples:
        """What counts in a frame."""
        return frame.near if self._in_loud_room else frame.sound

    def _maybe_start(self, now_s: float) -> list[SpeechEvent]:
        if not self._voicing.speaks:
            return []
        begun = list(self._before)[-self._spoken_before() :]
        self._before.clear()
        return self._start(begun, now_s)

    def _spoken_before(self) -> int:
        """With how many of the frames before now an utterance begins: in a loud room it may have
        begun with soft syllables, which did not stand out enough."""
        if not self._in_loud_room:
            return self._lead_frames
        set_to, levels = self._set_to, [level_dbfs(frame.near) for frame in self._before]
        silence = frames_in(set_to.silence_before_s)
        voice = frames_of_voice(levels, self._start_frames, set_to.falls_before_db, silence)
        return voice + self._lead_frames - self._start_frames

    def _another_came(self) -> bool:
        set_to = self._set_to
        needed_db = set_to.rises_loud_db if self._in_loud_room else set_to.rises_db
        return self._level.rose_by_db >= needed_db and self._voicing.speaks

    def _was_the_room(self) -> bool:
        """Whether it turns out that what began before the room was known may be the room; asked
        once it is known, or when it is over before that."""
        if not self._in_new_room or (self._room.is_new and not self._is_over()):
            return False
        self._in_new_room = False
        return self._room.was_taken_for_voice(self._level.loudest_dbfs)

    def _again(self, now_s: float) -> list[SpeechEvent]:
        """Begin anew as in a loud room, or forget it where nobody near spoke."""
        near, frames = VoiceLevel(self._start_frames), self._utterance
        for frame in frames:
            near.update(level_dbfs(frame.near))
        if near.loudest_dbfs > self._level.loudest_dbfs - self._set_to.nobody_near_db:
            return self._start(frames, now_s, telling=len(frames))
        self._utterance, self._given = [], []
        self._voicing.clear()
        return []

    def _is_over(self) -> bool:
        return self._voicing.is_over(in_loud_room=self._in_loud_room)

    def _start(self, frames: list[_Frame], now_s: float, telling: int = 0) -> list[SpeechEvent]:
        """Forget the one in hand and begin with these frames; the last so many tell its level."""
        telling_frames = frames[-(telling or self._start_frames) :]
        self._utterance, self._given = [], []
        self._voicing.begin()
        self._start_s = now_s - sum(len(frame.sound) for frame in frames) / RATE_HZ
        voice_dbfs = max(level_dbfs(frame.sound) for frame in telling_frames)
        self._in_loud_room = self._room.is_loud_beside(voice_dbfs)
        self._in_new_room = self._room.is_new and not self._in_loud_room
        self._level = VoiceLevel(self._start_frames)
        for frame in telling_frames:
            self._level.update(level_dbfs(self._heard(frame)))
        self._quiet_room = QuietRoom(self._level.loudest_dbfs)
        return [SpeechStarted(self._start_s), self._goes_on(frames)]

    def _goes_on(self, frames: list[_Frame]) -> SpeechContinued:
        self._utterance += frames
        heard = np.concatenate([self._heard(frame) for frame in frames])
        self._given.append(self._quiet_room.behind(heard) if self._in_loud_room else heard)
        return SpeechContinued(self._given[-1])

    def _end(self, *, cut: bool) -> list[SpeechEvent]:
        samples = np.concatenate([frame.sound for frame in self._utterance])
        cleaned = np.concatenate(self._given) if self._in_loud_room else None
        self._utterance, self._given = [], []
        self._voicing.clear()
        end_s = self._start_s + len(samples) / RATE_HZ
        return [SpeechEnded(Utterance(samples, self._start_s, end_s, cut, cleaned))]
