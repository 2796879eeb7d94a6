"""Text to sound with eSpeak NG, from the library and data that the espeakng-loader wheel carries.

The functions and numbers are those of eSpeak NG's public header, `speak_lib.h`, API revision 12.
"""

import ctypes
import threading
from functools import cache
from typing import Any

import espeakng_loader
import numpy as np

from voicelog.audio.base import Samples
from voicelog.errors import SpeechError

AUDIO_OUTPUT_SYNCHRONOUS = 2
INITIALIZE_DONT_EXIT = 0x8000
CHARS_UTF8 = 1
PARAMETER_RATE = 1
PHONEMES_IPA = 2
REINSTALL = "Install it again with `pip install --force-reinstall espeakng-loader`"
_ON_SOUND = ctypes.CFUNCTYPE(
    ctypes.c_int, ctypes.POINTER(ctypes.c_short), ctypes.c_int, ctypes.c_void_p
)
# The library keeps one voice, one rate and one callback for the whole process.
_lock = threading.Lock()


def synthesise(text: str, *, voice: str, rate_wpm: int) -> tuple[Samples, int]:
    """The sentence as mono sound, and its rate in hertz. Raises SpeechError."""
    with _lock:
        library, rate_hz = _load()
        _check(library.espeak_SetVoiceByName(voice.encode()), f'set the voice "{voice}"')
        _check(library.espeak_SetParameter(PARAMETER_RATE, rate_wpm, 0), "set the speech rate")
        pieces: list[Samples] = []

        def on_sound(wave: Any, count: int, _events: int | None) -> int:
            if wave and count > 0:
                pieces.append(np.ctypeslib.as_array(wave, (count,)).copy())
            return 0

        callback = _ON_SOUND(on_sound)
        library.espeak_SetSynthCallback(callback)
        data = text.encode() + b"\0"
        _check(
            library.espeak_Synth(data, len(data), 0, 1, 0, CHARS_UTF8, None, None), "speak a text"
        )
        _check(library.espeak_Synchronize(), "finish a text")
    return (np.concatenate(pieces) if pieces else np.zeros(0, np.int16)), rate_hz


def to_ipa(text: str, voice: str) -> str:
    """The text in the International Phonetic Alphabet, as the voice would say it. Raises
    SpeechError."""
    with _lock:
        library, _ = _load()
        _check(library.espeak_SetVoiceByName(voice.encode()), f'set the voice "{voice}"')
        rest = ctypes.c_char_p(text.encode() + b"\0")
        said: list[str] = []
        while rest.value is not None:
            clause = library.espeak_TextToPhonemes(ctypes.byref(rest), CHARS_UTF8, PHONEMES_IPA)
            said.append((clause or b"").decode())
    return " ".join(said)


@cache
def _load() -> tuple[ctypes.CDLL, int]:
    try:
        data_path = espeakng_loader.get_data_path()
        library = ctypes.CDLL(espeakng_loader.get_library_path())
    except (OSError, RuntimeError) as error:
        what = f"The read-back voice cannot be loaded ({error})"
        raise SpeechError(what, do=REINSTALL) from error
    library.espeak_SetVoiceByName.argtypes = [ctypes.c_char_p]
    library.espeak_SetParameter.argtypes = [ctypes.c_int, ctypes.c_int, ctypes.c_int]
    library.espeak_Synth.argtypes = [
        ctypes.c_char_p,
        ctypes.c_size_t,
        ctypes.c_uint,
        ctypes.c_int,
        ctypes.c_uint,
        ctypes.c_uint,
        ctypes.c_void_p,
        ctypes.c_void_p,
    ]
    library.espeak_TextToPhonemes.argtypes = [
        ctypes.POINTER(ctypes.c_char_p),
        ctypes.c_int,
        ctypes.c_int,
    ]
    library.espeak_TextToPhonemes.restype = ctypes.c_char_p
    # The path compiled into the library is that of the machine which built the wheel.
    rate_hz = library.espeak_Initialize(
        AUDIO_OUTPUT_SYNCHRONOUS, 0, data_path.encode(), INITIALIZE_DONT_EXIT
    )
    if rate_hz <= 0:
        what = f"The read-back voice cannot find its data in {data_path}"
        raise SpeechError(what, do=f"{REINSTALL}, in a folder with a shorter path")
    return library, int(rate_hz)


def _check(status: int, doing: str) -> None:
    if status != 0:
        raise SpeechError(
            f"The read-back voice cannot {doing} (eSpeak NG error {status})",
            kept="Records are not touched by this",
            do="Check the voice and the speech rate in the settings",
        )
