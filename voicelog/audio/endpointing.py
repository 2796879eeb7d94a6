"""When a stretch of sound counts as an utterance: the settings of the endpointer.

All figures were found on voices of `tune`; `tests/FIGURES.md` says with which near voice.
"""

from dataclasses import dataclass

FRAME_S = 0.03


@dataclass(frozen=True, slots=True)
class Endpointing:
    """How patient the endpointer is. All times in seconds; shares between 0 and 1; levels in
    decibels."""

    strictness: int = 3
    """Of the detector of voices: from 0, which takes almost any sound for one, to 3, which takes
    only clear ones."""
    stands_out_db: float = 8.0
    """How far a voice must rise above the noise floor."""
    start_window_s: float = 0.18
    start_share: float = 0.66
    """Speech begins when such a share of so long a time is voiced."""
    pre_roll_s: float = 0.3
    """So much of what came before belongs to it."""

    pause_s: float = 0.21
    end_silence_s: float = 0.66
    end_share: float = 0.12
    """It may be over after so long a silence, and is over when hardly any of so long a time is
    voiced. Of 70 dictations with pauses of 0.2 to 0.48 s none was cut in two, with 0.54 s 5."""
    longest_s: float = 15.0
    rises_db: float = 10.0
    """A voice that rises so far above all that was said in an utterance is another, nearer one."""

    loud_room_db: float = 30.0
    """A room that lies less below a voice half of the time is loud."""
    stands_out_loud_db: float = 10.0
    """How far a voice must rise above the noise floor to begin in such a room. Of 160 dictations in
    babble 10 dB below 2 never began, with 13 dB 6; of babble alone 4 a minute began, and 2."""
    falls_db: float = 22.0
    """In a loud room what is softer than the loudest part of a voice by more is none of it."""
    longest_before_s: float = 3.0
    silence_before_s: float = 0.42
    falls_before_db: float = 12.0
    """From where a voice stands out there it is followed back, so far at most, to the last silence
    of such a length, in which all is softer than it by more than that. Without, of 80 dictations in
    babble 10 dB below by eight synthetic voices 20 lost their first syllables, and of 80 in that of
    people 2; now none does. With 22 dB and 0.72 s 16 of the latter took 0.7 s of the others along,
    with these 4."""
    end_silence_loud_s: float = 0.72
    """Soft syllables beside a pause are lost in a loud room: with 0.54 s 26 to 29 of those 70
    dictations were cut in two there, with this one 0 to 3."""
    rises_loud_db: float = 8.0

    room_known_s: float = 2.0
    stands_out_first_db: float = 20.0
    nobody_near_db: float = 6.0
    """Once so much sound has come, or when it is over before, an utterance that began with the room
    unknown, and that is louder than its softest tenth by less than that, is gone through anew as in
    a loud room: of 300 beginnings of babble 95 % stand out less, of 60 dictations cut exactly 5 %.
    It is forgotten where the near voice in it is softer than all of it by more than the last."""


def frames_in(seconds: float) -> int:
    """So long a time in frames, at least one."""
    return max(1, round(seconds / FRAME_S))
