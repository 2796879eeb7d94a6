"""What a microphone with the band of a telephone leaves out, put back: compared with the sound
before it went through such a microphone. The voices are of the part for testing: no weight was
learnt from them."""

from pathlib import Path

import numpy as np
import pytest
import soundfile
import soxr
from hypothesis import given, settings
from hypothesis import strategies as st

from voicelog.audio import highs
from voicelog.audio.bands import Floats, levels_db, middles_hz, spectra_of
from voicelog.audio.base import RATE_HZ, Samples
from voicelog.audio.highs import EMPTY, GUESSED, HEARD, HighsOfStream, HighsOfUtterance, are_missing
from voicelog.audio.level import FULL_SCALE

FIXTURES = Path(__file__).parents[2] / "audio_fixtures"
VOICES = ("slt", "rms", "hts", "joe", "heart")
BLOCK = RATE_HZ * 3 // 100


def recorded(voice: str, sentence: str) -> Samples:
    samples, _ = soundfile.read(FIXTURES / voice / f"{sentence}.flac", dtype="int16")
    return np.asarray(samples, np.int16)


def over_8_khz(samples: Samples) -> Samples:
    """As it comes from a microphone of 8000 samples a second."""
    narrow = soxr.resample(soxr.resample(samples, RATE_HZ, 8000), 8000, RATE_HZ)
    return np.asarray(narrow[: len(samples)], np.int16)


def in_bands(samples: Samples) -> Floats:
    return levels_db(spectra_of(np.asarray(samples / FULL_SCALE, np.float32)))


def test_the_bands_are_those_of_the_telephone() -> None:
    # ITU-T G.712: 300 to 3400 Hz, from memory
    assert 300 < middles_hz()[HEARD][0] < 400
    assert 3100 < middles_hz()[HEARD][-1] < 3400 < middles_hz()[GUESSED][0]
    assert middles_hz()[EMPTY][0] > 4000


@pytest.mark.parametrize("voice", VOICES)
def test_a_voice_lacks_them_only_over_8_khz(voice: str) -> None:
    for sentence in ("r01", "r14", "c01"):
        whole = recorded(voice, sentence)
        assert not are_missing(whole[:RATE_HZ])
        assert are_missing(over_8_khz(whole)[:RATE_HZ])


def test_silence_and_nothing_at_all_lack_nothing() -> None:
    assert not are_missing(np.zeros(RATE_HZ, np.int16))
    assert not are_missing(np.zeros(0, np.int16))


@pytest.mark.parametrize("voice", VOICES)
def test_highs_come_back_where_they_were(voice: str) -> None:
    """How loud a voice is up there as a whole is its own; the engine takes the mean out anyway."""
    whole = recorded(voice, "r01")
    wanted = in_bands(whole)
    back = in_bands(HighsOfUtterance().whole(over_8_khz(whole)))
    loud = wanted[:, HEARD].max(axis=1) > wanted[:, HEARD].max() - 25
    highs_back, highs_wanted = (of[loud][:, EMPTY].mean(axis=1) for of in (back, wanted))
    assert np.corrcoef(highs_back, highs_wanted)[0, 1] > 0.55
    assert abs((highs_back - highs_wanted).mean()) < 15
    heard = slice(HEARD.start, HEARD.stop - 1)  # the last one shares lines with the first guessed
    came = in_bands(over_8_khz(whole))
    assert np.abs((back - came)[loud][:, heard]).max() < 1


def test_an_utterance_that_has_its_highs_is_left_alone() -> None:
    whole = recorded("slt", "r01")
    np.testing.assert_array_equal(HighsOfUtterance().whole(whole), whole)


@settings(max_examples=20, deadline=None)
@given(st.lists(st.integers(1, 9000), min_size=1, max_size=5), st.booleans())
def test_an_utterance_is_the_same_whatever_the_pieces(sizes: list[int], narrow: bool) -> None:
    sound = recorded("rms", "r14")
    sound = over_8_khz(sound) if narrow else sound
    pieces: list[Samples] = []
    following, at = HighsOfUtterance(), 0
    while at < len(sound):
        size = sizes[len(pieces) % len(sizes)]
        pieces.append(following.hear(sound[at : at + size]))
        at += size
    found = np.concatenate([*pieces, following.end()])
    wanted = HighsOfUtterance().whole(sound)
    assert len(found) == len(sound)
    assert np.abs(found.astype(int) - wanted).max() <= 1


def test_an_utterance_shorter_than_a_second_is_judged_at_its_end() -> None:
    short = over_8_khz(recorded("slt", "c01"))[: round(0.9 * RATE_HZ)]
    following = HighsOfUtterance()
    assert not len(following.hear(short))
    assert in_bands(following.end())[:, EMPTY].max() > in_bands(short)[:, EMPTY].max() + 20


def test_two_utterances_have_nothing_to_do_with_each_other() -> None:
    first, second = over_8_khz(recorded("slt", "r01")), over_8_khz(recorded("rms", "r02"))
    following = HighsOfUtterance()
    following.whole(first)
    np.testing.assert_array_equal(following.whole(second), HighsOfUtterance().whole(second))


def test_a_stream_is_helped_while_its_highs_are_missing() -> None:
    whole = np.concatenate([recorded("slt", name) for name in ("r01", "r02", "r03", "r04", "r05")])
    sound = np.concatenate([whole, over_8_khz(whole), whole])
    stream, given, missing = HighsOfStream(), [], []
    for start in range(0, len(sound), BLOCK):
        given.append(stream.feed(sound[start : start + BLOCK]))
        missing.append(stream.missing)
    parts = len(missing) // 3
    assert [missing[n * parts - 1] for n in (1, 2, 3)] == [False, True, False]
    found = np.concatenate([*given, stream.flush()])
    wide, again = slice(0, len(whole)), slice(-5 * RATE_HZ, None)
    for left_alone in (wide, again):
        assert np.abs(found[left_alone].astype(int) - sound[left_alone]).max() <= 1
    helped = slice(2 * len(whole) - 3 * RATE_HZ, 2 * len(whole) - RATE_HZ)
    assert in_bands(found[helped])[:, EMPTY].max() > in_bands(sound[helped])[:, EMPTY].max() + 20


def test_a_hiss_in_silence_stays_soft() -> None:
    """A voice, then dead silence: what is guessed there lies far below the voice."""
    voice = over_8_khz(recorded("slt", "r01"))
    sound = np.concatenate([voice, np.zeros(RATE_HZ, np.int16)])
    found = HighsOfUtterance().whole(sound)
    silence = found[-RATE_HZ // 2 :].astype(float)
    assert np.sqrt((silence**2).mean()) < 0.003 * np.sqrt((voice.astype(float) ** 2).mean()) + 1


def test_the_noise_is_as_loud_as_it_says() -> None:
    spectra, loud_db = highs._noise()
    np.testing.assert_allclose(levels_db(spectra)[:, GUESSED].mean(axis=0), loud_db)
    powers = 10 ** (levels_db(spectra)[:, GUESSED] / 10)
    # The mean of a logarithm lies below the logarithm of a mean: by 2.5 dB for one line of noise,
    # by less for bands of several (Euler's constant, as in any table of the exponential law).
    assert np.all((10 * np.log10(powers.mean(axis=0)) - loud_db) < 2.51)
