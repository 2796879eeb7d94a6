"""Where speech begins and ends in a stream of blocks.

Each frame of 30 ms is voiced or not: the detector of the pocketsphinx library must say so, and it
must stand out from the room; where that is loud, once it is turned down (see `near_voice`). Speech
starts when enough of the last few frames are voiced, and ends when hardly any of the last half
second is, or of a little more in a loud room. The two windows differ because one short word must
start an utterance at once, while a breath inside a dictation must not end it. Where somebody
further away opened an utterance and a nearer voice follows, it starts anew with the near one.

In a quiet room an engine gets the sound as it is. Where the room is loud it gets the near voice,
with a quiet room behind it (see `quiet_room`). The sound that is kept is never touched.
"""

from collections import deque
from dataclasses import dataclass

import numpy as np
from pocketsphinx import Vad

from voicelog.audio.base import RATE_HZ, Block, Samples, Utterance
from voicelog.audio.endpointing import Endpointing
from voicelog.audio.level import SILENCE_DBFS, NoiseFloor, VoiceLevel, level_dbfs
from voicelog.audio.near_voice import NearVoice
from voicelog.audio.quiet_room import QuietRoom

FRAME_S = 0.03
FRAME_SAMPLES = round(FRAME_S * RATE_HZ)
FLOOR_FRAMES = round(10 / FRAME_S)
FLOOR_AT_LEAST = round(1 / FRAME_S)
ROOM_AT_LEAST = round(0.3 / FRAME_S)


@dataclass(frozen=True, slots=True)
class SpeechStarted:
    """Somebody began to speak; the samples follow in SpeechContinued. An utterance in hand is
    forgotten, as a nearer voice began."""

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
        self._floor = NoiseFloor(FLOOR_FRAMES, FLOOR_AT_LEAST)
        self._room = NoiseFloor(FLOOR_FRAMES, ROOM_AT_LEAST, share=0.5)
        self._set_to = set_to
        self._floor_dbfs = self._room_dbfs = SILENCE_DBFS
        self._start_frames = _frames(set_to.start_window_s)
        self._start_voiced = max(1, round(set_to.start_share * self._start_frames))
        self._lead_frames = _frames(set_to.pre_roll_s) + self._start_frames
        self._pause_frames = _frames(set_to.pause_s)
        self._paused = False
        self._longest_frames = _frames(set_to.longest_s)
        self._before: deque[_Frame] = deque(maxlen=self._lead_frames)
        longest_s = max(set_to.start_window_s, set_to.end_silence_s, set_to.end_silence_loud_s)
        self._voiced: deque[bool] = deque(maxlen=_frames(longest_s))
        self._utterance: list[_Frame] = []
        self._level = VoiceLevel(self._start_frames)
        self._in_loud_room = False
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
        self._voiced.clear()
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
        self._voiced.append(self._is_voiced(frame))
        if not self.speaking:
            self._before.append(frame)
            return self._maybe_start(end_s)
        events: list[SpeechEvent] = [self._goes_on([frame])]
        if self._another_came():
            events += self._start(self._utterance[-self._lead_frames :], end_s)
        elif len(self._utterance) >= self._longest_frames:
            events += self._end(cut=True)
        elif self._is_quiet():
            events += self._end(cut=False)
        elif self._pauses():
            events.append(SpeechPaused())
        return events

    def _is_voiced(self, frame: _Frame) -> bool:
        sound_dbfs = level_dbfs(frame.sound)
        self._floor_dbfs = self._floor.update(sound_dbfs)
        if not self.speaking:
            self._in_loud_room = self._is_loud_room(sound_dbfs)
        heard = self._heard(frame)
        heard_dbfs = level_dbfs(heard)
        if self.speaking:
            self._level.update(heard_dbfs)
        is_voiced = heard_dbfs > self._needed_dbfs() and self._vad.is_speech(heard.tobytes())
        if not (self.speaking or is_voiced):
            self._room_dbfs = self._room.update(sound_dbfs)
        return bool(is_voiced)

    def _needed_dbfs(self) -> float:
        """How loud a frame must be to be voiced."""
        set_to, floor_dbfs = self._set_to, self._floor_dbfs
        if not self._in_loud_room:
            return floor_dbfs + set_to.stands_out_db
        if not self.speaking:
            return floor_dbfs + set_to.stands_out_loud_db
        return max(floor_dbfs, self._level.loudest_dbfs - set_to.falls_db)

    def _is_loud_room(self, voice_dbfs: float) -> bool:
        """Whether the room is loud beside this voice; at first, nothing known, it is not."""
        heard_something = self._room_dbfs > SILENCE_DBFS
        room_dbfs = self._room_dbfs if heard_something else self._floor_dbfs
        return voice_dbfs - room_dbfs < self._set_to.loud_room_db

    def _heard(self, frame: _Frame) -> Samples:
        """What counts in a frame."""
        return frame.near if self._in_loud_room else frame.sound

    def _maybe_start(self, now_s: float) -> list[SpeechEvent]:
        if not self._speaks_now():
            return []
        frames = list(self._before)
        self._before.clear()
        return self._start(frames, now_s)

    def _another_came(self) -> bool:
        set_to = self._set_to
        needed_db = set_to.rises_loud_db if self._in_loud_room else set_to.rises_db
        return self._level.rose_by_db >= needed_db and self._speaks_now()

    def _speaks_now(self) -> bool:
        return sum(list(self._voiced)[-self._start_frames :]) >= self._start_voiced

    def _start(self, frames: list[_Frame], now_s: float) -> list[SpeechEvent]:
        """Begin an utterance with these frames; what was in hand before is forgotten."""
        self._utterance, self._given = [], []
        self._paused = False
        self._start_s = now_s - sum(len(frame.sound) for frame in frames) / RATE_HZ
        voice_dbfs = max(level_dbfs(frame.sound) for frame in frames[-self._start_frames :])
        self._in_loud_room = self._is_loud_room(voice_dbfs)
        self._level = VoiceLevel(self._start_frames)
        for frame in frames[-self._start_frames :]:
            self._level.update(level_dbfs(self._heard(frame)))
        self._quiet_room = QuietRoom(self._level.loudest_dbfs)
        return [SpeechStarted(self._start_s), self._goes_on(frames)]

    def _goes_on(self, frames: list[_Frame]) -> SpeechContinued:
        self._utterance += frames
        heard = np.concatenate([self._heard(frame) for frame in frames])
        self._given.append(self._quiet_room.behind(heard) if self._in_loud_room else heard)
        return SpeechContinued(self._given[-1])

    def _is_quiet(self) -> bool:
        set_to = self._set_to
        loud = self._in_loud_room
        frames = _frames(set_to.end_silence_loud_s if loud else set_to.end_silence_s)
        recent = list(self._voiced)[-frames:]
        return len(recent) >= frames and sum(recent) <= int(set_to.end_share * frames)

    def _pauses(self) -> bool:
        """Whether a silence has just become long enough."""
        before = self._paused
        recent = list(self._voiced)[-self._pause_frames :]
        self._paused = len(recent) >= self._pause_frames and not any(recent)
        return self._paused and not before

    def _end(self, *, cut: bool) -> list[SpeechEvent]:
        samples = np.concatenate([frame.sound for frame in self._utterance])
        cleaned = np.concatenate(self._given) if self._in_loud_room else None
        self._utterance, self._given = [], []
        self._voiced.clear()
        end_s = self._start_s + len(samples) / RATE_HZ
        return [SpeechEnded(Utterance(samples, self._start_s, end_s, cut, cleaned))]


def _frames(seconds: float) -> int:
    return max(1, round(seconds / FRAME_S))
