"""Clips of sound: lossless, and readable by any FLAC decoder (RFC 9639)."""

import io

import numpy as np
import pytest
import soundfile
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra import numpy as arrays

from voicelog.audio.clips import from_flac, to_flac
from voicelog.errors import AudioError

SOUND = arrays.arrays(np.int16, st.integers(1, 2000))


@given(SOUND)
def test_what_goes_in_comes_out_bit_for_bit(
    samples: np.ndarray[tuple[int], np.dtype[np.int16]],
) -> None:
    np.testing.assert_array_equal(from_flac(to_flac(samples)), samples)


def test_a_clip_starts_with_the_mark_and_stream_information_of_the_standard() -> None:
    clip = to_flac(np.arange(1600, dtype=np.int16))
    # RFC 9639, sections 6 and 8.2: "fLaC", a stream-information block of 34 bytes, and in it the
    # rate in 20 bits, channels - 1 in 3 bits, bits a sample - 1 in 5 bits.
    assert clip[:4] == b"fLaC"
    assert (clip[4] & 0x7F, int.from_bytes(clip[5:8])) == (0, 34)
    word = int.from_bytes(clip[18:22])
    assert (word >> 12, word >> 9 & 0b111, word >> 4 & 0b11111) == (16_000, 0, 15)


def test_speechlike_sound_takes_less_room_than_raw() -> None:
    samples = np.rint(3000 * np.sin(np.arange(16_000) / 9)).astype(np.int16)
    assert len(to_flac(samples)) < samples.nbytes / 2


def test_nothing_cannot_be_kept() -> None:
    with pytest.raises(AudioError, match="no sound to keep"):
        to_flac(np.zeros(0, np.int16))


@pytest.mark.parametrize("clip", [b"", b"fLaC", b"not sound at all" * 20])
def test_a_damaged_clip_is_one_clear_error(clip: bytes) -> None:
    with pytest.raises(AudioError, match="damaged"):
        from_flac(clip)


def test_a_clip_of_another_kind_is_refused() -> None:
    buffer = io.BytesIO()
    soundfile.write(buffer, np.zeros((800, 2), np.int16), 44_100, format="FLAC")
    with pytest.raises(AudioError, match="not made by voicelog"):
        from_flac(buffer.getvalue())


def test_a_header_that_claims_more_sound_than_memory_holds_is_damage() -> None:
    clip = bytearray(to_flac(np.ones(1600, np.int16)))
    # RFC 9639, section 8.2: the number of samples is the last 36 bits before the checksum.
    clip[21] |= 0x0F
    with pytest.raises(AudioError):
        from_flac(bytes(clip))
