"""The synthetic voice, measured: length, level, and whether a recogniser understands it."""

from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import espeakng_loader
import numpy as np
import pocketsphinx
import pytest
import soxr
from numpy.typing import NDArray

from voicelog.audio.base import RATE_HZ, Samples
from voicelog.audio.level import level_dbfs
from voicelog.errors import SpeechError
from voicelog.speech import espeak
from voicelog.speech.espeak import synthesise
from voicelog.speech.spoken import SpokenVoice

READ_BACK = "left ankle, dorsiflexion, gap trial, sixteen degrees, one six, pain three"
GRAMMAR = """#JSGF V1.0; grammar g; public <g> = <tens> degrees <digit> <digit> pain <digit>;
<tens> = <teen> | <ty>;
<teen> = thirteen | fourteen | fifteen | sixteen | seventeen | eighteen | nineteen;
<ty> = thirty | forty | fifty | sixty | seventy | eighty | ninety;
<digit> = zero | one | two | three | four | five | six | seven | eight | nine;"""
NUMBERS = {
    "thirteen degrees, one three, pain two": "thirteen degrees one three pain two",
    "thirty degrees, three zero, pain four": "thirty degrees three zero pain four",
    "fifteen degrees, one five, pain six": "fifteen degrees one five pain six",
    "fifty degrees, five zero, pain eight": "fifty degrees five zero pain eight",
    "sixteen degrees, one six, pain one": "sixteen degrees one six pain one",
    "sixty degrees, six zero, pain three": "sixty degrees six zero pain three",
    "eighteen degrees, one eight, pain five": "eighteen degrees one eight pain five",
    "eighty degrees, eight zero, pain seven": "eighty degrees eight zero pain seven",
}


def said(text: str, rate_wpm: int = 190) -> NDArray[np.int16]:
    samples, rate_hz = synthesise(text, voice="en-us+f2", rate_wpm=rate_wpm)
    return np.asarray(soxr.resample(samples, rate_hz, RATE_HZ), np.int16)


def teen_or_ty(words: str) -> tuple[str, bool, bool]:
    """The tens, and whether they were spelled as a teen ("one ...") or as a ty ("... zero").

    The library's noise runs on from sentence to sentence, so no two are alike sample for sample,
    and in 2 of 40 runs this bare recogniser took the five of "one five" for a nine.
    """
    tens, _, first, second, *_ = [*words.split(), "", "", "", ""]
    return tens, first == "one", second == "zero"


def test_a_read_back_is_brisk_and_loud_enough() -> None:
    sound = said(READ_BACK)
    assert 3 < len(sound) / RATE_HZ < 6
    assert -30 < level_dbfs(sound) < -10
    assert np.max(np.abs(sound.astype(int))) < 32_767


def test_a_faster_rate_takes_less_time() -> None:
    slow, fast = len(said(READ_BACK, 120)), len(said(READ_BACK, 240))
    assert 1.7 < slow / fast < 2.3


def test_a_recogniser_tells_every_teen_from_every_ty() -> None:
    decoder = pocketsphinx.Decoder(lm=None, loglevel="FATAL")
    decoder.add_jsgf_string("g", GRAMMAR)
    decoder.activate_search("g")
    pause = np.zeros(RATE_HZ // 4, np.int16)
    understood = {}
    for text in NUMBERS:
        decoder.start_utt()
        sound = np.concatenate([pause, said(text), pause])
        decoder.process_raw(sound.tobytes(), full_utt=True)
        decoder.end_utt()
        understood[text] = teen_or_ty(decoder.hyp().hypstr if decoder.hyp() else "")
    assert understood == {text: teen_or_ty(words) for text, words in NUMBERS.items()}


def test_the_same_words_come_out_as_long_from_many_threads() -> None:
    texts = ["pain three", "left ankle", "saved"] * 4
    alone = {text: said(text) for text in texts}
    with ThreadPoolExecutor(4) as pool:
        together = list(pool.map(said, texts))
    lengths = [len(alone[text]) for text in texts]
    assert [len(sound) for sound in together] == pytest.approx(lengths, abs=RATE_HZ / 1000)


class SilentPlayer:
    """Plays nothing."""

    def play(self, samples: Samples, rate_hz: int) -> None:
        pass


def test_nothing_to_say_makes_no_sound() -> None:
    assert np.max(np.abs(said(""))) < 10
    SpokenVoice(SilentPlayer()).say("")


@pytest.mark.parametrize("voice", ["no-such-voice", ""])
def test_an_unknown_voice_is_a_speech_error(voice: str) -> None:
    with pytest.raises(SpeechError, match="the settings"):
        SpokenVoice(SilentPlayer(), voice=voice)


@pytest.mark.parametrize("rate_wpm", [0, 79, 451])
def test_an_impossible_rate_is_a_speech_error(rate_wpm: int) -> None:
    with pytest.raises(SpeechError, match="from 80 to 450"):
        SpokenVoice(SilentPlayer(), rate_wpm=rate_wpm)


def test_a_missing_library_is_a_speech_error(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    monkeypatch.setattr(espeakng_loader, "get_library_path", lambda: str(tmp_path / "none.so"))
    espeak._load.cache_clear()
    try:
        with pytest.raises(SpeechError, match="espeakng-loader"):
            synthesise("saved", voice="en-us", rate_wpm=190)
    finally:
        espeak._load.cache_clear()
