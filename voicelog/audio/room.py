"""What is known of the room behind a voice: how loud it is, and whether it is loud beside her."""

from voicelog.audio.endpointing import FRAME_S, Endpointing
from voicelog.audio.level import SILENCE_DBFS, NoiseFloor

_FRAMES = round(10 / FRAME_S)
_FLOOR_AT_LEAST = round(1 / FRAME_S)
_ALONE_AT_LEAST = round(0.3 / FRAME_S)


class Room:
    """Follows the last ten seconds, frame by frame."""

    def __init__(self, set_to: Endpointing) -> None:
        self._set_to = set_to
        self._floor = NoiseFloor(_FRAMES, _FLOOR_AT_LEAST)
        self._alone = NoiseFloor(_FRAMES, _ALONE_AT_LEAST, share=0.5)
        self._alone_dbfs = SILENCE_DBFS
        self._heard_s = 0.0
        self.floor_dbfs = SILENCE_DBFS
        """What the room falls back to, in dBFS; SILENCE_DBFS while too little was heard."""

    @property
    def is_new(self) -> bool:
        """Whether too little was heard to tell anything."""
        return self._heard_s < self._set_to.room_known_s

    def hear(self, frame_dbfs: float) -> None:
        """Take in the level of a frame, whoever speaks in it."""
        self._heard_s += FRAME_S
        self.floor_dbfs = self._floor.update(frame_dbfs)

    def hear_alone(self, frame_dbfs: float) -> None:
        """The level of the same frame, as nobody speaks in it."""
        self._alone_dbfs = self._alone.update(frame_dbfs)

    def is_loud_beside(self, voice_dbfs: float) -> bool:
        """Whether it is loud beside a voice of this level in dBFS; not while nothing is known."""
        heard_alone = self._alone_dbfs > SILENCE_DBFS
        room_dbfs = self._alone_dbfs if heard_alone else self.floor_dbfs
        return voice_dbfs - room_dbfs < self._set_to.loud_room_db

    def needed_dbfs(self, loudest_dbfs: float | None, *, in_loud_room: bool) -> float:
        """How loud a frame must be to be voiced, in dBFS; `loudest_dbfs` is what the loudest part
        of the running utterance reached, None while nobody speaks."""
        set_to = self._set_to
        if not in_loud_room:
            return self.floor_dbfs + set_to.stands_out_db
        if loudest_dbfs is None:
            return self.floor_dbfs + set_to.stands_out_loud_db
        return max(self.floor_dbfs, loudest_dbfs - set_to.falls_db)

    def was_taken_for_voice(self, voice_dbfs: float) -> bool:
        """Whether what was spoken from the very first moment on, at this level in dBFS, stands out
        so little that it was the room that spoke."""
        return voice_dbfs - self.floor_dbfs < self._set_to.stands_out_first_db
