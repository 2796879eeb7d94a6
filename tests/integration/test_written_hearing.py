"""What the transcriber hears by itself of recordings, held to networks of words.

Digits are of people: the Free Spoken Digit Dataset (CC BY-SA 4.0, speakers 2 and 3) in
../shared/speech or the folder named by VOICELOG_SHARED. Numbers in a row are of Debian's package
pocketsphinx-testdata. What the made-up voices say is written beside each recording by hand.
"""

from functools import cache
from types import ModuleType

import numpy as np
import pytest

from audio_fixtures.manifest import words
from audio_fixtures.sound import room
from tests.benchmarks.people import DIGITS, read
from tests.benchmarks.sounding import shared_speech
from tests.integration.test_open_recordings import FOLDER, in_quiet
from voicelog.audio.base import RATE_HZ, Samples
from voicelog.audio.level import FULL_SCALE
from voicelog.audio.sound_file import SoundFile
from voicelog.engines import networks_folder
from voicelog.grammar.hypothesis import HeardWord, Reading
from voicelog.grammar.parse import parse
from voicelog.recognisers.network_cache import NetworkCache
from voicelog.recognisers.networks import Networks, Step
from voicelog.recognisers.transcriber import Transcriber, weights_folder
from voicelog.recognisers.word_pieces import WordPieces
from voicelog.recognisers.written_hearing import WrittenHearing
from voicelog.recognisers.written_words import Words, WrittenWords
from voicelog.settings.fields import Settings
from voicelog.wiring import House

WEIGHTS = weights_folder()
pytestmark = pytest.mark.skipif(WEIGHTS is None, reason="moonshine-voice is not installed")
SPEECH = shared_speech()
SPOKEN = sorted(SPEECH.glob("human_digits/speaker[23]/*_0[05].flac")) if SPEECH else []
TENS = ("twenty", "thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety")


def words_of(reading: Reading) -> Words:
    return tuple(word.text for word in reading.words)


@cache
def made() -> tuple[Transcriber, WordPieces]:
    assert WEIGHTS is not None
    return Transcriber(WEIGHTS), WordPieces(WEIGHTS / "tokenizer.bin")


def best(sound: Samples, steps: list[Step], last: int) -> Words:
    """The likeliest words of one network."""
    transcriber, pieces = made()
    searched = WrittenWords((last, steps), pieces, 1.0)
    return searched.in_sound(transcriber, transcriber.heard(sound), ()).best


@pytest.mark.skipif(not SPOKEN, reason="../shared/speech is not there")
def test_most_digits_of_people_over_a_telephone_are_heard() -> None:
    """39 of 40 when this was written."""
    steps: list[Step] = [(0, 1, 1.0, digit) for digit in DIGITS]
    right = []
    for path in SPOKEN:
        quiet = room(0.4, -70.0, path.name)
        sound = np.concatenate([quiet, read(path), quiet]) * (FULL_SCALE - 1)
        found = best(np.asarray(sound, np.int16), steps, 1)
        right.append(found == (DIGITS[int(path.name[0])],))
    assert len(right) == 40
    assert sum(right) >= 36


@pytest.mark.skipif(not FOLDER.is_dir(), reason=f"pocketsphinx-testdata is not in {FOLDER}")
def test_numbers_of_a_person_in_a_row_are_heard() -> None:
    """Any number of numbers, each of one word or two."""
    steps: list[Step] = [
        *((0, 0, 1.0, digit) for digit in DIGITS),
        *((0, 1, 1.0, ten) for ten in TENS),
        *((1, 0, 1.0, digit) for digit in DIGITS),
        (1, 0, 1.0),
        (0, 2, 1.0),
    ]
    heard = best(in_quiet(FOLDER / "numbers.raw"), steps, 2)
    assert " ".join(heard) == "thirty three four six ninety two"


@pytest.fixture(scope="module")
def house() -> House:
    return House(Settings())


@pytest.fixture(scope="module")
def hearing(house: House) -> WrittenHearing:
    assert WEIGHTS is not None
    cache = NetworkCache(networks_folder())
    return WrittenHearing(Networks(house.phrases.trees, house.phrases.weights, cache), WEIGHTS)


def spoken(recordings: ModuleType, voice: str, names: tuple[str, ...]) -> dict[Words, Samples]:
    """The sound of each trial, by its words."""
    found = {}
    for one in recordings.load_manifest().recordings():
        if one.voice == voice and one.id in names:
            with SoundFile(one.path) as source:
                found[words(one.text)] = np.concatenate([block.samples for block in source])
    return found


@pytest.mark.parametrize("voice", ["slt", "rms", "hts", "joe", "heart"])
def test_what_was_said_comes_first(
    house: House, hearing: WrittenHearing, recordings: ModuleType, voice: str
) -> None:
    """Words that mean the same may take its place, such as "dorsi flexion"."""
    tree = house.phrases.trees["any"]
    sounds = spoken(recordings, voice, ("r01", "r02", "r05", "r06", "r13", "r21", "r25", "r29"))
    missed = []
    for said, sound in sounds.items():
        hearing.begin("any")
        first, *others = hearing.readings(0, 3000, sound) or (Reading(()),)
        meant, heard = parse(tree, said), parse(tree, words_of(first))
        assert meant is not None
        assert heard is not None or not first.words
        if heard is None or heard.slots != meant.slots:
            missed.append((said, words_of(first)))
        assert all(first.log_weight >= other.log_weight for other in others)
    assert len(sounds) == 8
    assert len(missed) <= 1, missed


def readings_of(texts: dict[Words, float]) -> tuple[Reading, ...]:
    return tuple(
        Reading(tuple(HeardWord(word, 0, 1, 0.5) for word in text), weight)
        for text, weight in texts.items()
    )


def test_a_reading_of_the_engine_gives_way_to_what_was_said(
    hearing: WrittenHearing, recordings: ModuleType
) -> None:
    ((said, sound),) = spoken(recordings, "slt", ("r02",)).items()
    assert said[-1] == "three"
    wrong = [(*said[:-1], number) for number in ("seven", "nine")]
    hearing.begin("any")
    found = hearing.among(readings_of({wrong[0]: 0.0, wrong[1]: -1.0, said: -2.0}), sound)
    assert words_of(found[0]) == said
    assert {words_of(one) for one in found} >= {said, *wrong}
    assert min(word.confidence for word in found[0].words) > 0.5


def test_the_next_utterance_knows_nothing_of_the_last(
    hearing: WrittenHearing, recordings: ModuleType
) -> None:
    for said, sound in spoken(recordings, "heart", ("r02", "r05")).items():
        hearing.begin("any")
        first, *_ = hearing.readings(0, 3000, sound)
        assert words_of(first) == said


def test_sound_without_words_has_no_readings(hearing: WrittenHearing) -> None:
    hearing.begin("any")
    assert hearing.readings(0, 900, np.zeros(RATE_HZ, np.int16)) == ()
    hearing.begin("any")
    assert hearing.readings(0, 0, np.zeros(0, np.int16)) == ()


def test_what_is_heard_of_a_part_is_heard_anew_with_the_rest(
    hearing: WrittenHearing, recordings: ModuleType
) -> None:
    ((said, sound),) = spoken(recordings, "heart", ("r02",)).items()
    hearing.begin("any")
    part = hearing.among(readings_of({said: 0.0}), sound[: RATE_HZ * 3 // 2])
    hearing.go_on()
    first, *_ = hearing.readings(0, 3000, sound)
    assert part
    assert words_of(first) == said
