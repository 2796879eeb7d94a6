"""A sentence as sound that is the same each time, whatever was said before it.

eSpeak NG mixes noise into its voice. Where in that noise a sentence begins, and by a sample or two
how long it is, depends on all that the process has said before.
"""

from concurrent.futures import ProcessPoolExecutor
from functools import cache
from multiprocessing import get_context

from voicelog.audio.base import Samples
from voicelog.speech.espeak import synthesise


@cache
def rendered(text: str, *, voice: str, rate_wpm: int) -> tuple[Samples, int]:
    """The sentence as mono sound and its rate in hertz, from a process that says nothing else."""
    with ProcessPoolExecutor(1, mp_context=get_context("spawn")) as alone:
        sound, rate_hz = alone.submit(synthesise, text, voice=voice, rate_wpm=rate_wpm).result()
    sound.flags.writeable = False
    return sound, rate_hz
