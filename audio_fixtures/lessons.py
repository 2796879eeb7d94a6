"""What the network of `voicelog/audio/near_voice.py` learns from: a near voice alone and in a room.

Each lesson is six seconds: a voice of `tune` or a recording of that part, mostly with echo, and
behind it one to ten others further away, or the noise of a machine. Meetings and readers, whose
babble the benchmarks use, take no part.
"""

from collections.abc import Iterator
from pathlib import Path

import numpy as np
import soundfile
import soxr
from numpy.typing import NDArray

from audio_fixtures.casting import cast, said
from audio_fixtures.chat import Chat
from audio_fixtures.fresh import Ranges, Writer
from audio_fixtures.manifest import RATE_HZ
from audio_fixtures.rooms import Sound
from audio_fixtures.sound import SPEECH_DBFS, gain, speech_dbfs
from voicelog.audio.bands import WINDOW
from voicelog.grammar.language import LanguageData

SECONDS = 6
SENTENCES, SENTENCES_MORE = 120, 40
MORE = (
    *("en-us+f1", "en-us+f3", "en-us+f4", "en-us+f5", "en-us+m1", "en-us+m4", "en-us+m7"),
    *("en-gb", "en-gb-scotland", "en-us+klatt2", "en-us+klatt3"),
)
"""Voices of eSpeak NG beside those of `tune`, so that it meets many throats."""
EARLY_S = 0.05
"""Echo that comes so soon belongs to the voice; what comes later is to be turned down."""
NOBODY = 0.12
"""The share of lessons in which nobody is near."""
_COUNT = SECONDS * RATE_HZ + WINDOW
Lesson = tuple[Sound, Sound]
"""What is heard, and what the near voice is in it."""


def sentences(language: LanguageData, ranges: Ranges, seed: int) -> list[Sound]:
    """Dictations, and talk in every fourth place, by all voices there are."""
    tune = cast("tune")
    like = next(voice for voice in tune if voice.program == "espeak-ng")
    more = [like.model_copy(update={"name": name, "voice": name}) for name in MORE]
    found = []
    for place, voice in enumerate([*tune, *more]):
        writer = Writer(language, ranges, seed + place)
        chat = Chat(language, "tune", seed + place)
        for number in range(SENTENCES if place < len(tune) else SENTENCES_MORE):
            text = writer.dictation().text if number % 4 else chat.line().text
            found.append(levelled(said(voice, text)))
    return found


def recordings(folder: Path) -> list[Sound]:
    """Words by people, the part that is for tuning."""
    found = []
    for path in sorted(folder.glob("human_words/*/0[13].flac")):
        samples, rate_hz = soundfile.read(path, dtype="float32", always_2d=True)
        resampled = soxr.resample(samples.mean(axis=1), rate_hz, RATE_HZ)
        found.append(levelled(np.asarray(resampled, np.float32)))
    return found


def lessons(voices: list[Sound], people: list[Sound], count: int, seed: int) -> Iterator[Lesson]:
    """So many lessons, drawn by chance."""
    chance = np.random.default_rng(seed)
    for _ in range(count):
        near = _speaking(chance, people if chance.uniform() < 0.15 and people else voices)
        heard = near
        if chance.uniform() < 0.6:
            tail = echo_of(chance, chance.uniform(0.15, 0.6), chance.uniform(0, 12))
            early = np.where(np.arange(len(tail)) < EARLY_S * RATE_HZ, tail, 0)
            near, heard = through(near, early), through(near, tail)
        below_db = chance.uniform(3, 32) if chance.uniform() < 0.75 else chance.uniform(40, 70)
        room = _room(chance, voices, people) * gain(-below_db)
        room = room + chance.standard_normal(_COUNT) * gain(-chance.uniform(65, 80))
        loud = gain(chance.uniform(-22, 8))
        yield np.asarray((heard + room) * loud, np.float32), np.asarray(near * loud, np.float32)


def levelled(sound: Sound) -> Sound:
    """The sound with its speech at the usual level."""
    return sound * np.float32(gain(SPEECH_DBFS - speech_dbfs(sound)))


def _speaking(chance: np.random.Generator, pool: list[Sound]) -> Sound:
    """One sentence after the other with pauses, each a little higher or lower and with a tone
    colour of its own."""
    sound = np.zeros(_COUNT, np.float32)
    at = int(max(0, chance.uniform(-0.8, 2.5)) * RATE_HZ)  # often in the middle of speech
    if chance.uniform() < NOBODY:
        return sound
    while at < _COUNT:
        spoken = levelled(coloured(chance, other_throat(chance, _one_of(chance, pool))))
        spoken = spoken * np.float32(gain(chance.normal(0, 2)))
        last = min(_COUNT, at + len(spoken))
        sound[at:last] += spoken[: last - at]
        at = last + int(chance.uniform(0.2, 2) * RATE_HZ)
    return sound


def _one_of(chance: np.random.Generator, pool: list[Sound]) -> Sound:
    return pool[int(chance.integers(len(pool)))]


def other_throat(chance: np.random.Generator, sound: Sound) -> Sound:
    """A sentence played faster or slower, which moves pitch and formants."""
    places = np.arange(0, len(sound) - 1, chance.uniform(0.86, 1.16))
    return np.asarray(np.interp(places, np.arange(len(sound)), sound), np.float32)


def coloured(chance: np.random.Generator, sound: Sound) -> Sound:
    """The sound as some other microphone would have it."""
    hertz = np.fft.rfftfreq(len(sound), 1 / RATE_HZ)
    db = np.interp(hertz, [0, 250, 1000, 2500, 4500, 8000], chance.normal(0, 3, 6))
    spectrum = np.fft.rfft(sound) * 10 ** (db / 20)
    return np.asarray(np.fft.irfft(spectrum, len(sound)), np.float32)


def _room(chance: np.random.Generator, voices: list[Sound], people: list[Sound]) -> Sound:
    """Others who talk further away, or the noise of a machine, at the level of speech."""
    if chance.uniform() < 0.75:
        pool = voices if chance.uniform() < 0.7 or not people else [*voices, *people * 4]
        count = int(chance.choice([1, 2, 3, 4, 6, 8, 10]))
        sound = np.sum([_talking(chance, pool) for _ in range(count)], axis=0)
        if chance.uniform() < 0.6:
            sound = through(sound, echo_of(chance, chance.uniform(0.2, 0.7), chance.uniform(-8, 4)))
        sound = coloured(chance, sound)
    else:
        hertz = np.fft.rfftfreq(_COUNT, 1 / RATE_HZ)
        falling = np.hypot(60, hertz) ** chance.uniform(0, 1)
        sound = np.fft.irfft(np.fft.rfft(chance.standard_normal(_COUNT)) / falling, _COUNT)
    return np.asarray(sound * gain(SPEECH_DBFS) / np.sqrt(np.mean(sound**2) + 1e-12), np.float32)


def _talking(chance: np.random.Generator, pool: list[Sound]) -> Sound:
    """Somebody who hardly stops."""
    pieces, length = [], 0
    while length < _COUNT:
        pause = np.zeros(int(chance.uniform(0, 0.4) * RATE_HZ), np.float32)
        pieces += [other_throat(chance, _one_of(chance, pool)), pause]
        length += len(pieces[-2]) + len(pause)
    return np.roll(np.concatenate(pieces), -int(chance.integers(length)))[:_COUNT]


def echo_of(chance: np.random.Generator, rt60_s: float, direct_db: float) -> NDArray[np.float64]:
    """The response of a room; see `rooms.echo`."""
    count = int(rt60_s * RATE_HZ)
    tail = chance.standard_normal(count) * 10 ** (-3 * np.arange(count) / RATE_HZ / rt60_s)
    tail[: RATE_HZ // 200] = 0
    tail *= gain(-direct_db) / np.sqrt((tail**2).sum())
    tail[0] = 1.0
    return np.asarray(tail, np.float64)


def through(sound: Sound, response: NDArray[np.float64]) -> Sound:
    """The sound as it arrives in a room with this response."""
    size = len(sound) + len(response) - 1
    heard = np.fft.irfft(np.fft.rfft(sound, size) * np.fft.rfft(response, size), size)
    return np.asarray(heard[: len(sound)], np.float32)
