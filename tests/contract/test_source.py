"""Every source, file or microphone, gives the same kind of blocks."""

from collections.abc import Callable
from contextlib import suppress
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import soundfile
from numpy.typing import NDArray

from voicelog.audio.base import RATE_HZ, Block, Source
from voicelog.audio.blocks import BLOCK_S
from voicelog.audio.microphone import Microphone
from voicelog.audio.sound_file import SoundFile
from voicelog.errors import AudioError

LENGTH_S = 1.234
PITCH_HZ = 440.0
PEAK = 10_000
Make = Callable[[Path, Any], Source]


def sine(rate_hz: int) -> NDArray[np.int16]:
    at_s = np.arange(round(LENGTH_S * rate_hz)) / rate_hz
    rounded = np.rint(PEAK * np.sin(2 * np.pi * PITCH_HZ * at_s))
    return np.asarray(rounded, np.int16)


def file(suffix: str, rate_hz: int, channels: int) -> Make:
    def make(folder: Path, _card: Any) -> Source:
        path = folder / f"sound{suffix}"
        soundfile.write(path, np.repeat(sine(rate_hz)[:, None], channels, axis=1), rate_hz)
        return SoundFile(path)

    return make


def microphone(rate_hz: int, device: int) -> Make:
    def make(_folder: Path, card: Any) -> Source:
        card.rates_hz = {rate_hz}
        card.sound = sine(rate_hz)
        return Microphone(device, sounddevice=card)

    return make


SOURCES = {
    "WAV, 16 kHz, mono": file(".wav", 16_000, 1),
    "FLAC, 44.1 kHz, stereo": file(".flac", 44_100, 2),
    "WAV, 8 kHz, mono": file(".wav", 8_000, 1),
    "WAV, 48 kHz, six channels": file(".wav", 48_000, 6),
    "microphone, 16 kHz": microphone(16_000, 0),
    "microphone, 48 kHz only": microphone(48_000, 1),
}


def read(source: Source) -> list[Block]:
    blocks: list[Block] = []
    # A microphone never ends by itself: the pretended one is unplugged when its sound is over.
    with source, suppress(AudioError):
        for block in source:
            blocks.append(block)
    return blocks


@pytest.fixture(params=list(SOURCES.values()), ids=list(SOURCES))
def blocks(request: pytest.FixtureRequest, tmp_path: Path, sound_card: Any) -> list[Block]:
    make: Make = request.param
    return read(make(tmp_path, sound_card))


def test_every_block_is_mono_16_bit_and_of_one_length_but_the_last(blocks: list[Block]) -> None:
    assert all(b.samples.dtype == np.int16 and b.samples.ndim == 1 for b in blocks)
    assert {len(b.samples) for b in blocks[:-1]} == {round(BLOCK_S * RATE_HZ)}
    assert 0 < len(blocks[-1].samples) <= round(BLOCK_S * RATE_HZ)


def test_each_block_starts_where_the_one_before_ended(blocks: list[Block]) -> None:
    assert blocks[0].start_s == 0
    ends_s = [b.start_s + b.duration_s for b in blocks[:-1]]
    assert [b.start_s for b in blocks[1:]] == pytest.approx(ends_s, abs=1e-9)
    assert not any(b.lost_s for b in blocks)


def test_nothing_is_lost_or_added(blocks: list[Block]) -> None:
    assert sum(b.duration_s for b in blocks) == pytest.approx(LENGTH_S, abs=0.001)


def test_the_sound_is_the_sine_that_was_put_in(blocks: list[Block]) -> None:
    # The outside check is the definition of a sine, sampled anew at 16 kHz.
    heard = np.concatenate([b.samples for b in blocks]).astype(np.float64)
    at_s = np.arange(len(heard)) / RATE_HZ
    expected = PEAK * np.sin(2 * np.pi * PITCH_HZ * at_s)
    middle = slice(800, -800)
    assert np.max(np.abs(heard[middle] - expected[middle])) < PEAK / 1000


@pytest.mark.parametrize("make", SOURCES.values(), ids=list(SOURCES))
def test_sound_can_be_dropped_at_any_time_and_the_clock_goes_on(
    make: Make, tmp_path: Path, sound_card: Any
) -> None:
    starts_s: list[float] = []
    with make(tmp_path, sound_card) as source, suppress(AudioError):
        for block in source:
            starts_s.append(block.start_s)
            if len(starts_s) == 3:
                source.drop_unread()
    assert starts_s == sorted(starts_s)
    assert starts_s[-1] <= LENGTH_S
