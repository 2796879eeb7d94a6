"""A sentence as sound that is the same each time, whatever was said before it.

eSpeak NG mixes noise into its voice. Where in that noise a sentence begins, and by a sample or two
how long it is, depends on all that the process has said before; so each has a process of its own.
"""

import subprocess
import sys
from functools import cache

import numpy as np

from voicelog.audio.base import Samples

_SAY_IT = """
import sys
from voicelog.speech.espeak import synthesise
text, voice, rate_wpm = sys.argv[1:]
sound, rate_hz = synthesise(text, voice=voice, rate_wpm=int(rate_wpm))
sys.stdout.buffer.write(b"%d\\n" % rate_hz + sound.tobytes())
"""


@cache
def rendered(text: str, *, voice: str, rate_wpm: int) -> tuple[Samples, int]:
    """The sentence as mono sound, and its rate in hertz."""
    alone = [sys.executable, "-c", _SAY_IT, text, voice, str(rate_wpm)]
    said = subprocess.run(alone, check=True, stdout=subprocess.PIPE).stdout
    rate_hz, _, sound = said.partition(b"\n")
    return np.frombuffer(sound, np.int16), int(rate_hz)
