"""Where speech begins and ends in a stream of blocks.

Each frame of 30 ms is voiced or not: the detector of the pocketsphinx library must say so, and it
must stand out from the room, or other people talking further away would hold an utterance open.
Speech starts when enough of the last few frames are voiced, and ends when hardly any of the last
half second is. The two windows differ because one short word must start an utterance at once, while
a breath inside a dictation must not end it.
"""

from collections import deque
from dataclasses import dataclass

import numpy as np
from pocketsphinx import Vad

from voicelog.audio.base import RATE_HZ, Block, Samples, Utterance
from voicelog.audio.level import NoiseFloor, level_dbfs

FRAME_S = 0.03
FRAME_SAMPLES = round(FRAME_S * RATE_HZ)
FLOOR_FRAMES = round(10 / FRAME_S)
FLOOR_AT_LEAST = round(1 / FRAME_S)


@dataclass(frozen=True, slots=True)
class SpeechStarted:
    """Somebody began to speak; the samples follow in SpeechContinued."""

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
    """The utterance is over; it holds all the samples given before, in order."""

    utterance: Utterance


SpeechEvent = SpeechStarted | SpeechContinued | SpeechPaused | SpeechEnded


@dataclass(frozen=True, slots=True)
class Endpointing:
    """How patient the endpointer is. All times in seconds; shares between 0 and 1.

    `stands_out_db` is how far a voice must rise above the noise floor, in decibels. `strictness`
    goes from 0, which takes almost any sound for a voice, to 3, which takes only clear ones.
    """

    pre_roll_s: float = 0.3
    start_window_s: float = 0.18
    start_share: float = 0.66
    pause_s: float = 0.21
    end_silence_s: float = 0.54
    end_share: float = 0.12
    longest_s: float = 15.0
    stands_out_db: float = 8.0
    strictness: int = 3


class Endpointer:
    """Cuts a stream of blocks into utterances. Holds at most `longest_s` of sound."""

    def __init__(self, endpointing: Endpointing | None = None) -> None:
        set_to = endpointing or Endpointing()
        self._vad = Vad(set_to.strictness, RATE_HZ, FRAME_S)
        self._floor = NoiseFloor(FLOOR_FRAMES, FLOOR_AT_LEAST)
        self._stands_out_db = set_to.stands_out_db
        self._start_frames = _frames(set_to.start_window_s)
        self._start_voiced = max(1, round(set_to.start_share * self._start_frames))
        self._end_frames = _frames(set_to.end_silence_s)
        self._pause_frames = _frames(set_to.pause_s)
        self._paused = False
        self._end_voiced = int(set_to.end_share * self._end_frames)
        self._longest_frames = _frames(set_to.longest_s)
        self._before: deque[Samples] = deque(maxlen=_frames(set_to.pre_roll_s) + self._start_frames)
        self._voiced: deque[bool] = deque(maxlen=max(self._start_frames, self._end_frames))
        self._utterance: list[Samples] = []
        self._start_s = 0.0
        self._rest: Samples = np.zeros(0, np.int16)

    @property
    def speaking(self) -> bool:
        """Whether an utterance is in hand."""
        return bool(self._utterance)

    def feed(self, block: Block) -> list[SpeechEvent]:
        """What this block brings, in order. Blocks may have any length."""
        events: list[SpeechEvent] = []
        sound = np.concatenate([self._rest, block.samples])
        now_s = block.start_s - len(self._rest) / RATE_HZ
        whole = len(sound) - len(sound) % FRAME_SAMPLES
        for first in range(0, whole, FRAME_SAMPLES):
            frame = sound[first : first + FRAME_SAMPLES]
            frame_end_s = now_s + (first + FRAME_SAMPLES) / RATE_HZ
            events += self._frame(frame, frame_end_s)
        self._rest = sound[whole:].copy()
        return events

    def flush(self) -> list[SpeechEvent]:
        """End the utterance in hand, if any, as cut: the source ended inside it."""
        events: list[SpeechEvent] = []
        if self.speaking and len(self._rest):
            self._utterance.append(self._rest)
            events.append(SpeechContinued(self._rest))
        if self.speaking:
            events.append(self._end(cut=True))
        self.reset()
        return events

    def reset(self) -> None:
        """Throw away everything in hand: the tool itself spoke, or sound was lost."""
        self._before.clear()
        self._voiced.clear()
        self._utterance = []
        self._rest = np.zeros(0, np.int16)

    def _frame(self, frame: Samples, end_s: float) -> list[SpeechEvent]:
        self._voiced.append(self._is_voiced(frame))
        if not self.speaking:
            self._before.append(frame)
            return self._maybe_start(end_s)
        self._utterance.append(frame)
        events: list[SpeechEvent] = [SpeechContinued(frame)]
        if len(self._utterance) >= self._longest_frames:
            events.append(self._end(cut=True))
        elif self._is_quiet():
            events.append(self._end(cut=False))
        elif self._pauses():
            events.append(SpeechPaused())
        return events

    def _is_voiced(self, frame: Samples) -> bool:
        frame_dbfs = level_dbfs(frame)
        stands_out = frame_dbfs > self._floor.update(frame_dbfs) + self._stands_out_db
        return bool(self._vad.is_speech(frame.tobytes())) and stands_out

    def _maybe_start(self, now_s: float) -> list[SpeechEvent]:
        recent = list(self._voiced)[-self._start_frames :]
        if sum(recent) < self._start_voiced:
            return []
        self._utterance = list(self._before)
        self._paused = False
        self._before.clear()
        sound = np.concatenate(self._utterance)
        self._start_s = now_s - len(sound) / RATE_HZ
        return [SpeechStarted(self._start_s), SpeechContinued(sound)]

    def _is_quiet(self) -> bool:
        recent = list(self._voiced)[-self._end_frames :]
        return len(recent) >= self._end_frames and sum(recent) <= self._end_voiced

    def _pauses(self) -> bool:
        """Whether a silence has just become long enough."""
        before = self._paused
        recent = list(self._voiced)[-self._pause_frames :]
        self._paused = len(recent) >= self._pause_frames and not any(recent)
        return self._paused and not before

    def _end(self, *, cut: bool) -> SpeechEnded:
        samples = np.concatenate(self._utterance)
        self._utterance = []
        self._voiced.clear()
        end_s = self._start_s + len(samples) / RATE_HZ
        return SpeechEnded(Utterance(samples, self._start_s, end_s, cut))


def _frames(seconds: float) -> int:
    return max(1, round(seconds / FRAME_S))
