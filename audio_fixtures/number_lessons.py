"""What the network of `voicelog/recognisers/last_number.py` learns from: numbers, and other words.

Voices of `tune` and recordings of that part say a number from nought to ten, alone and after
"pain", or something else: an everyday word, a higher number, the end of a line of talk. Each is
heard as it is, and in rooms and through microphones of its own.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from audio_fixtures.casting import cast, said
from audio_fixtures.chat import Chat
from audio_fixtures.lessons import MORE, coloured, echo_of, through
from audio_fixtures.manifest import RATE_HZ, Voice
from audio_fixtures.rooms import Sound, through_microphone
from audio_fixtures.sound import gain
from tests.benchmarks.people import DIGITS, SAME, read
from voicelog.grammar.language import LanguageData
from voicelog.recognisers.last_number import BEFORE_S, WORDS, ending
from voicelog.recognisers.speech_embedding import Floats, embedding

OTHER = len(WORDS)
"""The place of everything that is no number."""
HIGHER = (
    *("eleven", "twelve", "thirteen", "fourteen", "fifteen", "sixteen", "seventeen", "eighteen"),
    *("nineteen", "twenty", "thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety"),
)
EVERYDAY, EVERYDAY_MORE = 70, 25
LINES, LINES_MORE = 40, 12
"""So many everyday words and lines of talk by each voice of `tune`, and by each of the others."""
TIMES, TIMES_OTHER = 5, 2
"""How often each number, and each other word of a synthetic voice, is learnt from."""
THROATS = (0.84, 1.18)
"""Pitch and formants are moved by a factor between these."""
_ENDS_S = 0.1
"""Where the engine sees a word end may be off by so much."""
_SILENT_DB = 27.0
"""What is softer than the loudest by more is silence."""


@dataclass(frozen=True, slots=True)
class Word:
    """A sound whose last word is a number (its place in `WORDS`) or `OTHER`. `who`: the name of a
    voice, or "people", over a telephone or not."""

    who: str
    sound: Sound
    number: int


@dataclass(frozen=True, slots=True)
class Lesson:
    """What is heard of a word, (rows, SIZE) figures, and which number it is."""

    who: str
    heard: Floats
    number: int


def words(language: LanguageData, folder: Path | None, seed: int) -> list[Word]:
    """All that is said; of people what `folder` holds."""
    chance = np.random.default_rng(seed)
    tune = cast("tune")
    like = next(voice for voice in tune if voice.program == "espeak-ng")
    more = [like.model_copy(update={"name": name, "voice": name}) for name in MORE]
    found = []
    for place, voice in enumerate([*tune, *more]):
        few = place >= len(tune)
        found += _numbers(voice)
        everyday = chance.permutation(_told_apart(language.everyday))
        chat = Chat(language, "tune", seed + place)
        others = [
            *everyday[: EVERYDAY_MORE if few else EVERYDAY],
            *HIGHER,
            *(chat.line().text for _ in range(LINES_MORE if few else LINES)),
        ]
        found += [
            Word(voice.name, said(voice, text), OTHER)
            for text in map(str, others)
            if text.split()[-1].strip(".,?!") not in WORDS
        ]
    return found + ([] if folder is None else list(_people(folder)))


def lessons(spoken: Sequence[Word], seed: int) -> Iterator[Lesson]:
    """Each word as it is, and as it sounds elsewhere."""
    chance = np.random.default_rng(seed)
    voices = [word.sound for word in spoken]
    for word in spoken:
        other = word.number == OTHER and not word.who.startswith("people")
        for time in range(TIMES_OTHER if other else TIMES):
            sound, end = word.sound, end_s(word.sound)
            if time:
                sound = _elsewhere(chance, sound, voices)
                end = end_s(sound) + chance.uniform(-_ENDS_S, _ENDS_S)
            loud = np.clip(sound * 32767 * gain(chance.uniform(-20, 0)), -32768, 32767)
            piece = ending(loud.astype(np.int16), round(end * 1000))
            yield Lesson(word.who, embedding(piece), word.number)


def _numbers(voice: Voice) -> list[Word]:
    return [
        Word(voice.name, said(voice, text), place)
        for place, name in enumerate(WORDS)
        for text in (name, f"pain {name}")
    ]


def _told_apart(everyday: Sequence[str]) -> list[str]:
    """Those that do not sound like a number."""
    alike = {"for", "to", "too", "won", "ate", "tree", "free", "when", "then"}
    return [phrase for phrase in everyday if phrase.split()[-1] not in alike]


def _people(folder: Path) -> Iterator[Word]:
    for who, word, sound in people(folder):
        yield Word(who, sound, DIGITS.index(word) if word in DIGITS else OTHER)


def people(folder: Path) -> Iterator[tuple[str, str, Sound]]:
    """Of each recording of a person that is for tuning whether it came over a telephone, the word
    and its sound."""
    for path in sorted((folder / "human_digits" / "speaker1").glob("*.flac")):
        yield "people, telephone", DIGITS[int(path.name[0])], read(path)
    for path in sorted(folder.glob("human_words/*/0[13].flac")):
        yield "people", SAME.get(path.parent.name, path.parent.name), read(path)


def _elsewhere(chance: np.random.Generator, sound: Sound, voices: Sequence[Sound]) -> Sound:
    """By another throat, in some room with others in it, through some microphone."""
    places = np.arange(0, len(sound) - 1, chance.uniform(*THROATS))
    moved = coloured(chance, np.interp(places, np.arange(len(sound)), sound).astype(np.float32))
    quiet = np.zeros(round(BEFORE_S * RATE_HZ), np.float32)
    moved = np.concatenate([quiet, moved, quiet])
    if chance.uniform() < 0.35:
        tail = echo_of(chance, chance.uniform(0.15, 0.6), chance.uniform(0, 12))
        moved = through(moved, tail)[: len(moved)]
    if chance.uniform() < 0.3:
        moved = through_microphone(moved, RATE_HZ // 2)
    power = np.sqrt((moved[len(quiet) : -len(quiet)] ** 2).mean())
    if chance.uniform() < 0.5:
        others = sum(_around(chance, voices, len(moved)) for _ in range(chance.integers(1, 8)))
        others *= power / np.sqrt(np.mean(np.square(others)))
        moved = moved + others * gain(-chance.uniform(6, 30))
    noise = chance.standard_normal(len(moved)) * power * gain(-chance.uniform(25, 60))
    return np.asarray(moved + noise, np.float32)


def _around(chance: np.random.Generator, voices: Sequence[Sound], count: int) -> Sound:
    other = voices[int(chance.integers(len(voices)))]
    return np.resize(np.roll(other, int(chance.integers(len(other)))), count)


def end_s(sound: Sound) -> float:
    """Where speech ends, in seconds: the last of the sound that is not silence."""
    step = RATE_HZ // 100
    powers = (sound[: len(sound) // step * step].reshape(-1, step) ** 2).mean(axis=1)
    smooth = np.convolve(powers, np.full(3, 1 / 3), "same")
    return float(np.flatnonzero(smooth > smooth.max() * gain(-_SILENT_DB) ** 2)[-1] + 1) / 100
