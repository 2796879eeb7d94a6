"""Sound files on disk: what can go wrong with them, and how they are described."""

import io
import os
import tracemalloc
from pathlib import Path

import numpy as np
import pytest
import soundfile
from numpy.typing import NDArray

from voicelog.audio.sound_facts import describe
from voicelog.audio.sound_file import SoundFile
from voicelog.errors import AudioError

RATE_HZ = 16_000


def hiss(seconds: float, level: float = 3000) -> NDArray[np.int16]:
    noise = np.random.default_rng(0).normal(0, level, round(seconds * RATE_HZ))
    return np.asarray(np.clip(noise, -32_768, 32_767), np.int16)


def encoded(samples: NDArray[np.int16], kind: str, rate_hz: int = RATE_HZ) -> bytes:
    buffer = io.BytesIO()
    soundfile.write(buffer, samples, rate_hz, format=kind, subtype="PCM_16")
    return buffer.getvalue()


def written(folder: Path, data: bytes) -> Path:
    path = folder / "visit.wav"
    path.write_bytes(data)
    return path


def heard_s(path: Path) -> tuple[float, str]:
    seconds = 0.0
    try:
        with SoundFile(path) as source:
            for block in source:
                seconds += block.duration_s
    except AudioError as error:
        return round(seconds, 6), str(error)
    return round(seconds, 6), ""


def test_a_missing_file_is_named(tmp_path: Path) -> None:
    assert heard_s(tmp_path / "no.wav")[1].startswith(f"There is no file {tmp_path / 'no.wav'}")


def test_a_folder_is_no_sound_file(tmp_path: Path) -> None:
    assert "is a folder" in heard_s(tmp_path)[1]


@pytest.mark.parametrize(
    ("data", "said"),
    [
        (b"", "is empty"),
        (b"Right shoulder, pain four.\n" * 40, "cannot be read as sound"),
        (encoded(hiss(0), "WAV"), "has a header but no sound"),
        (encoded(hiss(1), "WAV")[:30], "cannot be read as sound"),
        (encoded(hiss(1), "FLAC")[:30], "cannot be read as sound"),
        (encoded(hiss(1), "WAV", 1), "no recording of speech has"),
        (encoded(hiss(1), "WAV", 2**31 - 1), "no recording of speech has"),
    ],
    ids=["nothing", "text", "no frames", "half a WAV header", "half a FLAC header", "slow", "fast"],
)
def test_what_is_no_sound_is_refused_in_one_line(tmp_path: Path, data: bytes, said: str) -> None:
    message = heard_s(written(tmp_path, data))[1]
    assert said in message
    assert "\n" not in message
    with pytest.raises(AudioError):
        describe(tmp_path / "visit.wav")


def test_another_kind_of_sound_under_the_name_of_a_wav_is_refused_and_named(
    tmp_path: Path, capfd: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "visit.wav"
    for kind, subtype in (("MP3", "MPEG_LAYER_III"), ("OGG", "VORBIS"), ("AIFF", "PCM_16")):
        soundfile.write(path, hiss(1.0), RATE_HZ, format=kind, subtype=subtype)
        with pytest.raises(AudioError, match=f"is neither WAV nor FLAC, but {kind}"):
            SoundFile(path).__enter__()
    assert capfd.readouterr().err == ""


@pytest.mark.parametrize("kind", ["WAV", "FLAC"])
def test_a_file_that_breaks_off_is_heard_up_to_the_break_and_then_said(
    tmp_path: Path, kind: str
) -> None:
    whole = encoded(hiss(4), kind)
    path = written(tmp_path, whole[: len(whole) // 2])
    seconds, message = heard_s(path)
    assert 1.5 < seconds <= 2.01
    assert "breaks off after" in message
    assert "What came before the break was heard" in message
    assert describe(path).breaks_off


def test_a_streamed_wav_of_unknown_length_is_whole(tmp_path: Path) -> None:
    # Multimedia Programming Interface and Data Specifications 1.0 gives the chunk size 32 bits;
    # a program that cannot seek back leaves the largest value there (common practice, no source).
    data = bytearray(encoded(hiss(1), "WAV"))
    data[40:44] = b"\xff\xff\xff\xff"
    assert heard_s(written(tmp_path, bytes(data))) == (1.0, "")


def test_a_file_at_our_own_rate_comes_through_bit_for_bit(tmp_path: Path) -> None:
    samples = hiss(1, level=20_000)
    with SoundFile(written(tmp_path, encoded(samples, "WAV"))) as source:
        heard = np.concatenate([block.samples for block in source])
    np.testing.assert_array_equal(heard, samples)


def test_a_long_file_is_never_held_whole(tmp_path: Path) -> None:
    path = written(tmp_path, encoded(hiss(120), "WAV"))
    tracemalloc.start()
    with SoundFile(path) as source:
        blocks = sum(1 for _ in source)
    _, peak_bytes = tracemalloc.get_traced_memory()
    tracemalloc.stop()
    assert blocks == 4000
    assert peak_bytes < path.stat().st_size / 10


def test_a_file_can_be_read_twice(tmp_path: Path) -> None:
    path = written(tmp_path, encoded(hiss(0.5), "FLAC"))
    assert heard_s(path) == heard_s(path) == (0.5, "")


def test_an_ordinary_recording_gives_no_remarks(tmp_path: Path) -> None:
    facts = describe(written(tmp_path, encoded(hiss(2), "WAV")))
    assert facts.remarks == ()
    assert (facts.duration_s, facts.rate_hz, facts.channels) == (2.0, RATE_HZ, 1)


@pytest.mark.parametrize(
    ("samples", "said"),
    [(hiss(1, 0), "silent"), (hiss(1, 20), "very quiet"), (hiss(1, 40_000), "clipped")],
    ids=["silent", "quiet", "clipped"],
)
def test_poor_recordings_are_remarked_on_and_still_heard(
    tmp_path: Path, samples: NDArray[np.int16], said: str
) -> None:
    path = written(tmp_path, encoded(samples, "FLAC"))
    remarks = describe(path).remarks
    assert len(remarks) == 1
    assert said in remarks[0]
    assert heard_s(path) == (1.0, "")


def test_a_telephone_recording_is_called_narrow_band(tmp_path: Path) -> None:
    path = tmp_path / "phone.wav"
    soundfile.write(path, hiss(1)[::2], 8_000)
    assert describe(path).narrow_band
    assert "8000 Hz" in describe(path).remarks[0]


def test_floats_that_are_no_numbers_are_silence_and_loud_ones_full_scale(tmp_path: Path) -> None:
    path = tmp_path / "floats.wav"
    sound = hiss(3).astype(np.float32) / 32_768
    sound[RATE_HZ : 2 * RATE_HZ] = np.nan
    sound[0], sound[1] = np.inf, -np.inf
    soundfile.write(path, sound, RATE_HZ, subtype="FLOAT")
    with SoundFile(path) as source:
        heard = np.concatenate([block.samples for block in source])
    assert (heard[0], heard[1]) == (32_767, -32_768)
    assert not heard[RATE_HZ : 2 * RATE_HZ].any()
    np.testing.assert_allclose(heard[2 * RATE_HZ :], hiss(3)[2 * RATE_HZ :], atol=1)


def test_a_recording_far_beyond_full_scale_is_clipped_and_not_silent(tmp_path: Path) -> None:
    path = tmp_path / "loud.wav"
    soundfile.write(path, hiss(2).astype(np.float32) * 1e30, RATE_HZ, subtype="FLOAT")
    (remark,) = describe(path).remarks
    assert "clipped" in remark


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="Windows has no pipes with a name")
def test_a_pipe_is_named_and_not_waited_for(tmp_path: Path) -> None:
    pipe = tmp_path / "pipe.wav"
    os.mkfifo(pipe)
    assert "is a pipe or a device" in heard_s(pipe)[1]
