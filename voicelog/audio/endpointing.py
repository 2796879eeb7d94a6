"""When a stretch of sound counts as an utterance: the settings of the endpointer."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Endpointing:
    """How patient the endpointer is. All times in seconds; shares between 0 and 1.

    `stands_out_db` is how far a voice must rise above the noise floor, in decibels. A room that
    lies less than `loud_room_db` below the voice half of the time is loud: there it must rise by
    `stands_out_loud_db` to begin (with 8 dB, babble 10 dB below opened 11 utterances a minute, with
    13 dB 3 or 4), goes on as long as it is no softer than its loudest part by more than `falls_db`,
    and must be silent for `end_silence_loud_s` to end: soft syllables beside a pause are lost
    there, so with 0.54 s 26 to 29 of 70 dictations with pauses of 0.2 to 0.48 s were cut in two,
    with this one 0 to 3; in a quiet room 5 with 0.54 s, with `end_silence_s` none. One that rises
    above all that was said so far in an utterance by `rises_db`, `rises_loud_db` in a loud room, is
    another, nearer one. `strictness` goes from 0, which takes almost any sound for a voice, to 3,
    which takes only clear ones.
    """

    pre_roll_s: float = 0.3
    start_window_s: float = 0.18
    start_share: float = 0.66
    pause_s: float = 0.21
    end_silence_s: float = 0.66
    end_silence_loud_s: float = 0.72
    end_share: float = 0.12
    longest_s: float = 15.0
    stands_out_db: float = 8.0
    stands_out_loud_db: float = 13.0
    loud_room_db: float = 30.0
    falls_db: float = 22.0
    rises_db: float = 10.0
    rises_loud_db: float = 8.0
    strictness: int = 3
