"""Recorded dictations heard as whole words alone, by voices that the network never met.

What each recording says is written beside it by hand (`audio_fixtures/manifest.toml`).
"""

from types import ModuleType

import numpy as np
import pytest

from audio_fixtures.manifest import words
from voicelog.audio.base import Samples
from voicelog.audio.sound_file import SoundFile
from voicelog.grammar.hypothesis import HeardWord, Reading
from voicelog.grammar.template import vocabulary
from voicelog.recognisers.whole_words import known_words, whole_words
from voicelog.settings.fields import Settings
from voicelog.wiring import House


def spoken(recordings: ModuleType, voice: str) -> dict[tuple[str, ...], Samples]:
    """The sound of each trial, by its words."""
    found = {}
    for one in recordings.load_manifest().recordings():
        if one.voice == voice and one.id.startswith("r"):
            with SoundFile(one.path) as source:
                found[words(one.text)] = np.concatenate([block.samples for block in source])
    return found


@pytest.mark.parametrize("voice", ["slt", "rms", "hts", "joe", "heart"])
def test_what_was_said_is_likelier_than_all_else_that_others_said(
    recordings: ModuleType, voice: str
) -> None:
    sounds = spoken(recordings, voice)
    missed = []
    for said, sound in sounds.items():
        heard = whole_words(sound)
        likeliest = max(sounds, key=heard.log_likelihood)
        if likeliest != said:
            missed.append((said, likeliest))
    assert len(sounds) > 20
    assert len(missed) <= 1, missed


def test_a_sentence_gives_way_to_what_was_said(recordings: ModuleType) -> None:
    sounds = spoken(recordings, "slt")
    said, sound = next((s, sound) for s, sound in sounds.items() if s[-2:] == ("pain", "four"))
    others = [(*said[:-1], number) for number in ("seven", "two", "nine")]
    readings = tuple(
        Reading(tuple(HeardWord(word, 0, 1, 0.9) for word in words), 0.0)
        for words in (*others, said)
    )
    best, *_ = whole_words(sound).among(readings)
    assert tuple(word.text for word in best.words) == said


def test_nearly_every_word_of_the_english_trees_has_its_place() -> None:
    """A few may come later, and are all one kind to it; with many more it must be taught anew."""
    trees = House(Settings()).phrases.trees.values()
    words = frozenset[str]().union(*(vocabulary(tree) for tree in trees))
    assert len(words & known_words().keys()) / len(words) > 0.95
