"""Readings weighed against each other on recorded sound: what was said must win.

The recordings are of `audio_fixtures`; which words they hold is written beside them by hand.
"""

from types import ModuleType

import numpy as np
import pytest

from voicelog.audio.base import Utterance
from voicelog.audio.sound_file import SoundFile
from voicelog.grammar.posterior import Prior
from voicelog.listening.hearing import Hearing
from voicelog.settings.fields import Settings
from voicelog.wiring import House


@pytest.fixture(scope="module")
def hearing() -> Hearing:
    return House(Settings()).hearing("pocketsphinx")


def utterance(recordings: ModuleType, voice: str, name: str) -> Utterance:
    found = recordings.load_manifest().recordings()
    (path,) = [r.path for r in found if (r.voice, r.id) == (voice, name)]
    with SoundFile(path) as source:
        samples = np.concatenate([block.samples for block in source])
    return Utterance(samples, 0.0, len(samples) / 16_000)


@pytest.mark.parametrize("voice", ["slt", "rms", "heart"])
def test_the_number_that_was_said_wins_with_its_neighbours_behind(
    hearing: Hearing, recordings: ModuleType, voice: str
) -> None:
    """ "gap trial, sixteen degrees, pain three", against sixty and the like."""
    meant, heard = hearing.whole(utterance(recordings, voice, "r02"), "any", Prior())
    assert meant.intent is not None
    assert (meant.intent.slots["range_deg"], meant.intent.slots["pain"]) == (16, 3)
    assert meant.doubtful == ()
    assert any("sixty" in other.text for other in heard.readings[1:])
    weights = [reading.log_weight for reading in heard.readings]
    assert weights[0] == 0
    assert weights == sorted(weights, reverse=True)


@pytest.mark.parametrize("voice", ["rms", "heart"])
@pytest.mark.parametrize("name", ["c06", "c07", "c08"])
def test_a_command_leads_the_everyday_words_that_sound_like_it(
    hearing: Hearing, recordings: ModuleType, voice: str, name: str
) -> None:
    """ "say again", "read back" and "stand by", against "start again", "right back", "stand up"
    and all other words of `everyday`."""
    meant, _ = hearing.whole(utterance(recordings, voice, name), "any", Prior())
    assert meant.intent is not None
    assert meant.intent.kind == "command"
    assert meant.confidence > 0.8
