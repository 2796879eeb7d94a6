"""What the network of `voicelog/recognisers/whole_words.py` learns from: sentences and their words.

Voices of `tune`, others of eSpeak NG and natural ones (`natural_voices`) say dictations, also with
their parts in other orders, walks through the trees, numbers, commands, lines of talk and words in
no order at all, so that it learns words and not the language. People of `tune` say single words.
Each is heard as it is, in a room and through a microphone of its own, and with others talking.
"""

import random
import re
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from audio_fixtures import natural_voices
from audio_fixtures.casting import cast, said
from audio_fixtures.chat import Chat
from audio_fixtures.fresh import Ranges, Writer
from audio_fixtures.lessons import coloured, echo_of, levelled, other_throat, through
from audio_fixtures.manifest import RATE_HZ
from audio_fixtures.number_lessons import people
from audio_fixtures.rooms import Sound, through_microphone
from audio_fixtures.sound import gain
from voicelog.audio.base import Samples
from voicelog.grammar.language import Names
from voicelog.grammar.phrases import Phrases
from voicelog.grammar.template import sample, vocabulary
from voicelog.recognisers.last_number import WORDS as TO_TEN
from voicelog.recognisers.speech_embedding import Floats, embedding
from voicelog.recognisers.whole_words import AROUND_S, OTHER, Words

SENTENCES, SENTENCES_FORMANT, SENTENCES_MORE, SENTENCES_NATURAL = 800, 400, 120, 450
"""By each voice of `tune`, by its formant voice, by each of `MORE`, and by natural ones in all."""
MORE = (
    *("en-us+f1", "en-us+f3", "en-us+f4", "en-us+f5", "en-us+m1", "en-us+m2"),
    *("en-us+m4", "en-us+m5", "en-us+m6", "en-us+m7", "en-us+m8", "en-gb", "en-gb-scotland"),
    *("en-gb-x-gbclan", "en-gb-x-rp", "en-gb-x-gbcwmd", "en-029", "en-us-nyc", "en-us+klatt2"),
    *("en-us+klatt3", "en-us+klatt4", "en-gb+Annie", "en-us+Andy", "en-us+Mario", "en-us+linda"),
    *("en-us+steph", "en-us+john", "en-us+Hugo", "en-gb+anika", "en-us+Gene", "en-gb+grandma"),
)
"""Voices of eSpeak NG beside those of `tune`."""
_TEENS = ("thirteen", "fourteen", "fifteen", "sixteen", "seventeen", "eighteen", "nineteen")
_TENS = ("twenty", "thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety")
_NUMBERS = (*TO_TEN, "eleven", "twelve", *_TEENS, *_TENS)


@dataclass(frozen=True, slots=True)
class Sentence:
    """What is said, word by word, with `OTHER` for those that the trees have not; and by whom."""

    who: str
    words: Words
    sound: Sound


@dataclass(frozen=True, slots=True)
class Lesson:
    """What is heard of a sentence, (rows, SIZE) figures, and its words."""

    who: str
    words: Words
    heard: Floats


class Texts:
    """Draws what is said. The same language and seed give the same texts."""

    def __init__(self, phrases: Phrases, ranges: Ranges, seed: int) -> None:
        self._phrases = phrases
        self._chance = random.Random(seed)
        self._writer = Writer(phrases.language, ranges, seed)
        self._chat = Chat(phrases.language, "tune", seed)
        self._words = sorted(known(phrases))
        self._mixed: list[str] = []

    def text(self) -> str:
        """One sentence, a phrase or single words."""
        language, chance = self._phrases.language, self._chance
        commands = [form for forms in language.commands.values() for form in forms]
        draws: dict[Callable[[], str], float] = {
            lambda: self._writer.dictation().text: 0.38,
            self._trial: 0.07,
            self._drill: 0.05,
            self._walk: 0.20,
            lambda: chance.choice(commands): 0.05,
            self._answer: 0.04,
            lambda: chance.choice(language.everyday): 0.03,
            lambda: self._chat.line().text: 0.10,
            self._in_no_order: 0.08,
        }
        (draw,) = chance.choices(list(draws), list(draws.values()))
        return draw() or self.text()

    def _trial(self) -> str:
        """The side and the phase in any place, and what the writer seldom says."""
        chance, slots = self._chance, self._phrases.language.slots
        motion = self._form(self._phrases.language.motions)
        movement = f"{self._side()} {self._joint()} {motion}".strip()
        parts = [movement, self._form(slots.phase)]
        chance.shuffle(parts)
        degrees, pain = chance.choice(_NUMBERS), chance.choice(TO_TEN)
        more = {f"{degrees} degrees": 0.6, chance.choice((f"pain {pain}", "pain free")): 0.8}
        more |= {self._form(slots.quality): 0.35, self._form(slots.end_feel): 0.15}
        parts += [part for part, share in more.items() if chance.random() < share]
        return chance.choice((", ", " ")).join(parts)

    def _drill(self) -> str:
        language, chance = self._phrases.language, self._chance
        said = f"{self._side()} {self._form(language.drills)}".strip()
        dose = f"{chance.choice(TO_TEN[1:7])} sets of {chance.choice(_NUMBERS[2:20])}"
        more = {dose: 0.7, self._form(language.slots.band): 0.4}
        parts = ["drill", said, *(part for part, share in more.items() if chance.random() < share)]
        return chance.choice((", ", " ")).join(parts)

    def _side(self) -> str:
        return self._chance.choice(("left", "right", "left", "right", "both", ""))

    def _joint(self) -> str:
        joints = list(self._phrases.language.joints.values())
        return self._chance.choice(self._chance.choice(joints).spoken)

    def _form(self, names: Names) -> str:
        return self._chance.choice(self._chance.choice(list(names.values())))

    def _walk(self) -> str:
        tree = self._phrases.trees[self._chance.choice(("any", "record"))]
        words = [word for word in sample(tree, self._chance.randrange) if word != "word"][:14]
        commas = (word + "," * (self._chance.random() < 0.2) for word in words)
        return " ".join(commas).rstrip(",")

    def _answer(self) -> str:
        chance = self._chance
        few, many = chance.choice(TO_TEN), chance.choice(TO_TEN[1:10])
        ten = chance.choice(_NUMBERS[20:])
        sides = ("left", "right")
        return chance.choice((few, f"pain {few}", f"{ten} degrees", f"{ten} {many}", *sides))

    def _in_no_order(self) -> str:
        count = self._chance.randint(3, 7)
        if len(self._mixed) < count:
            self._mixed += self._chance.sample(self._words, len(self._words))
        drawn, self._mixed = self._mixed[:count], self._mixed[count:]
        return self._chance.choice((", ", " ")).join(drawn)


def known(phrases: Phrases) -> frozenset[str]:
    """All words of the trees."""
    return frozenset().union(*(vocabulary(tree) for tree in phrases.trees.values()))


def sentences(
    phrases: Phrases, ranges: Ranges, folder: Path | None, seed: int
) -> Iterator[Sentence]:
    """All that is said; of people what `folder` holds."""
    words = known(phrases)
    tune = cast("tune")
    like = next(voice for voice in tune if voice.program == "espeak-ng")
    more = [like.model_copy(update={"name": name, "voice": name}) for name in MORE]
    for place, voice in enumerate([*tune, *more]):
        texts = Texts(phrases, ranges, seed + place)
        count = SENTENCES if voice.program != "espeak-ng" else SENTENCES_FORMANT
        for _ in range(count if voice in tune else SENTENCES_MORE):
            text = texts.text()
            yield Sentence(voice.name, _spoken(text, words), said(voice, text))
    texts, chance = Texts(phrases, ranges, seed - 1), np.random.default_rng(seed)
    for _ in range(SENTENCES_NATURAL):
        text = texts.text()
        yield Sentence("natural", _spoken(text, words), natural_voices.said(text, chance))
    for who, word, sound in () if folder is None else people(folder):
        yield Sentence(who, _spoken(word, words), levelled(sound))


def _spoken(text: str, known: frozenset[str]) -> Words:
    words = re.sub(r"[^a-z' ]", " ", text.lower()).split()
    return tuple(word if word in known else OTHER for word in words)


def lessons(spoken: Sequence[Sentence], seed: int) -> Iterator[Lesson]:
    """Each sentence as it is, in a room, and with others; of many formant voices one of these."""
    chance = np.random.default_rng(seed)
    voices = [sentence.sound for sentence in spoken]
    for sentence in spoken:
        sound = sentence.sound
        places = {
            "as it is": (_within(chance, sound), None),
            "room": (_elsewhere(chance, sound), (15, 30) if chance.uniform() < 0.3 else None),
            "others": (_elsewhere(chance, sound), (5, 25)),
        }
        one = str(chance.choice(list(places)))
        for place in (one,) if sentence.who in MORE else places:
            heard, below_db = places[place]
            if below_db is not None:
                level = _power(sound) * gain(-chance.uniform(*below_db))
                heard = heard + _others(chance, voices, len(heard)) * level
            rows = embedding(_recorded(chance, heard, _power(sound)))
            if len(rows) >= len(sentence.words):
                yield Lesson(sentence.who, sentence.words, rows)


def _elsewhere(chance: np.random.Generator, sound: Sound) -> Sound:
    """By another throat, through some microphone, and one time in two with an echo."""
    moved = _within(chance, coloured(chance, other_throat(chance, sound)))
    if chance.uniform() < 0.5:
        moved = through(moved, echo_of(chance, chance.uniform(0.15, 0.6), chance.uniform(0, 12)))
    return through_microphone(moved, RATE_HZ // 2) if chance.uniform() < 0.15 else moved


def _within(chance: np.random.Generator, sound: Sound) -> Sound:
    """With silence around it."""
    before, behind = (
        np.zeros(round((AROUND_S + chance.uniform(0, 0.25)) * RATE_HZ), np.float32)
        for _ in range(2)
    )
    return np.concatenate([before, sound, behind])


def _others(chance: np.random.Generator, voices: Sequence[Sound], count: int) -> Sound:
    """One to ten others, mostly with an echo, with a power of 1."""
    sound = np.zeros(count, np.float32)
    for _ in range(chance.choice([1, 2, 3, 4, 6, 8, 10])):
        pieces, length = [], 0
        while length < count:
            pieces.append(other_throat(chance, voices[int(chance.integers(len(voices)))]))
            length += len(pieces[-1])
        sound += np.roll(np.concatenate(pieces), -int(chance.integers(length)))[:count]
    if chance.uniform() < 0.6:
        sound = through(sound, echo_of(chance, chance.uniform(0.2, 0.7), chance.uniform(-8, 4)))
    sound = coloured(chance, sound)
    return np.asarray(sound / (_power(sound) + 1e-9), np.float32)


def _recorded(chance: np.random.Generator, sound: Sound, power: float) -> Samples:
    """With the noise of a microphone, at some level."""
    noise = chance.standard_normal(len(sound)) * power * gain(-chance.uniform(25, 60))
    loud = (sound + noise) * 32_767 * gain(chance.uniform(-20, 0))
    return np.clip(np.rint(loud), -32_768, 32_767).astype(np.int16)


def _power(sound: Sound) -> float:
    return float(np.sqrt(np.mean(np.square(sound))))
