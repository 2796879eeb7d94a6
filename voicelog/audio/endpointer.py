"""Where speech begins and ends in a stream of blocks.

Each frame of 30 ms is voiced or not: the detector of the pocketsphinx library must say so, and it
must stand out from the room, or other people talking further away would hold an utterance open.
Speech starts when enough of the last few frames are voiced, and ends when hardly any of the last
half second is. The two windows differ because one short word must start an utterance at once, while
a breath inside a dictation must not end it. An engine gets the sound with the room turned down in
the pauses (see `gate`).
"""

from collections import deque
from dataclasses import dataclass

import numpy as np
from pocketsphinx import Vad

from voicelog.audio.base import RATE_HZ, Block, Samples, Utterance
from voicelog.audio.gate import PauseGate
from voicelog.audio.level import SILENCE_DBFS, NoiseFloor, RoomSpread, level_dbfs

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
    """More samples of the running utterance, gated, for an engine that works while she speaks."""

    samples: Samples


@dataclass(frozen=True, slots=True)
class SpeechPaused:
    """Silence for a while: the utterance may be over, and an engine may work ahead. Comes once for
    each silence."""


@dataclass(frozen=True, slots=True, eq=False)
class SpeechEnded:
    """The utterance is over; its gated samples are all those given before, in order."""

    utterance: Utterance


SpeechEvent = SpeechStarted | SpeechContinued | SpeechPaused | SpeechEnded


@dataclass(frozen=True, slots=True)
class Endpointing:
    """How patient the endpointer is. All times in seconds; shares between 0 and 1.

    `stands_out_db` is how far a voice must rise above the noise floor, in decibels. In a room that
    is not steady, where others talk, it must rise further: by `unsteady_start` times its spread
    (see RoomSpread) to begin an utterance, and by `unsteady_going` times to go on with it.
    From a spread of `others_talk_db` on, an engine gets to hear the pauses gated, by `gate_db` and
    `unsteady_gate`; a steady room stays, as the engine is used to it.
    `strictness` goes from 0, which takes almost any sound for a voice, to 3, which takes only
    clear ones.
    """

    pre_roll_s: float = 0.3
    start_window_s: float = 0.18
    start_share: float = 0.66
    pause_s: float = 0.21
    end_silence_s: float = 0.54
    end_share: float = 0.12
    longest_s: float = 15.0
    stands_out_db: float = 8.0
    unsteady_start: float = 0.8
    unsteady_going: float = 0.4
    others_talk_db: float = 4.0
    gate_db: float = 6.0
    unsteady_gate: float = 2.0
    strictness: int = 3


class Endpointer:
    """Cuts a stream of blocks into utterances. Holds at most `longest_s` of sound."""

    def __init__(self, endpointing: Endpointing | None = None) -> None:
        set_to = endpointing or Endpointing()
        self._vad = Vad(set_to.strictness, RATE_HZ, FRAME_S)
        self._floor = NoiseFloor(FLOOR_FRAMES, FLOOR_AT_LEAST)
        self._spread = RoomSpread(FLOOR_FRAMES, FLOOR_AT_LEAST)
        self._set_to = set_to
        self._floor_dbfs = SILENCE_DBFS
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
        self._gate = PauseGate(SILENCE_DBFS)
        self._gated: list[Samples] = []
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
        if self.speaking:
            events = [self._goes_on([self._rest]), *self._end(cut=True)]
        self.reset()
        return events

    def reset(self) -> None:
        """Throw away everything in hand: the tool itself spoke, or sound was lost."""
        self._before.clear()
        self._voiced.clear()
        self._utterance, self._gated = [], []
        self._rest = np.zeros(0, np.int16)

    def _frame(self, frame: Samples, end_s: float) -> list[SpeechEvent]:
        self._voiced.append(self._is_voiced(frame))
        if not self.speaking:
            self._before.append(frame)
            return self._maybe_start(end_s)
        events: list[SpeechEvent] = [self._goes_on([frame])]
        if len(self._utterance) >= self._longest_frames:
            events += self._end(cut=True)
        elif self._is_quiet():
            events += self._end(cut=False)
        elif self._pauses():
            events.append(SpeechPaused())
        return events

    def _is_voiced(self, frame: Samples) -> bool:
        frame_dbfs = level_dbfs(frame)
        self._floor_dbfs = self._floor.update(frame_dbfs)
        if not self.speaking:
            self._spread.update(frame_dbfs)
        unsteady = self._set_to.unsteady_going if self.speaking else self._set_to.unsteady_start
        needed_dbfs = self._over_floor(self._set_to.stands_out_db, unsteady)
        return bool(self._vad.is_speech(frame.tobytes())) and frame_dbfs > needed_dbfs

    def _over_floor(self, over_db: float, unsteady: float) -> float:
        """The level that stands out of the room by so much, in dBFS."""
        return self._floor_dbfs + over_db + unsteady * self._spread.db

    def _maybe_start(self, now_s: float) -> list[SpeechEvent]:
        recent = list(self._voiced)[-self._start_frames :]
        if sum(recent) < self._start_voiced:
            return []
        self._paused = False
        self._gate = PauseGate(self._gate_opens_dbfs())
        frames = list(self._before)
        self._before.clear()
        self._start_s = now_s - sum(map(len, frames)) / RATE_HZ
        return [SpeechStarted(self._start_s), self._goes_on(frames)]

    def _gate_opens_dbfs(self) -> float:
        if self._spread.db < self._set_to.others_talk_db:
            return SILENCE_DBFS
        return self._over_floor(self._set_to.gate_db, self._set_to.unsteady_gate)

    def _goes_on(self, frames: list[Samples]) -> SpeechContinued:
        self._utterance += frames
        self._gated.append(self._gate.feed(np.concatenate(frames)))
        return SpeechContinued(self._gated[-1])

    def _is_quiet(self) -> bool:
        recent = list(self._voiced)[-self._end_frames :]
        return len(recent) >= self._end_frames and sum(recent) <= self._end_voiced

    def _pauses(self) -> bool:
        """Whether a silence has just become long enough."""
        before = self._paused
        recent = list(self._voiced)[-self._pause_frames :]
        self._paused = len(recent) >= self._pause_frames and not any(recent)
        return self._paused and not before

    def _end(self, *, cut: bool) -> list[SpeechEvent]:
        last = self._gate.flush()
        samples, gated = np.concatenate(self._utterance), np.concatenate([*self._gated, last])
        self._utterance, self._gated = [], []
        self._voiced.clear()
        end_s = self._start_s + len(samples) / RATE_HZ
        ended = SpeechEnded(Utterance(samples, self._start_s, end_s, cut, gated))
        return [SpeechContinued(last), ended]


def _frames(seconds: float) -> int:
    return max(1, round(seconds / FRAME_S))
