"""Notes as the transcriber writes them, by word errors as jiwer counts them.

What the made-up voices say is written beside each recording by hand; the people are five lines of a
novel in Debian's package pocketsphinx-testdata, which brings a list of what they read.
"""

import re
from pathlib import Path
from types import ModuleType

import jiwer
import numpy as np
import pytest
from num2words import num2words

from audio_fixtures.manifest import words
from tests.integration.test_open_recordings import FOLDER, in_quiet
from voicelog.audio.base import Samples, Utterance
from voicelog.audio.sound_file import SoundFile
from voicelog.grammar.posterior import Prior
from voicelog.recognisers import usable_transcriber
from voicelog.recognisers.free_text import FreeText
from voicelog.recognisers.free_words import FreeWords
from voicelog.recognisers.transcriber import Transcriber, weights_folder
from voicelog.recognisers.word_pieces import WordPieces
from voicelog.settings.fields import Settings
from voicelog.wiring import House

WEIGHTS = weights_folder()
pytestmark = pytest.mark.skipif(WEIGHTS is None, reason="moonshine-voice is not installed")
NOVEL = FOLDER / "librivox"
SAID_BY_ALL = "n01"
OF_ONE_VOICE = ("t01", "t03")


@pytest.fixture(scope="module")
def free_text() -> FreeText:
    assert WEIGHTS is not None
    return FreeText(Transcriber(WEIGHTS), WordPieces(WEIGHTS / "tokenizer.bin"))


def of_file(path: Path) -> Samples:
    with SoundFile(path) as source:
        return np.concatenate([block.samples for block in source])


def plain(text: str) -> str:
    """Small letters and words alone, with numbers as they are said."""
    spoken = re.sub(r"\d+", lambda found: num2words(found[0]), text.replace("Mr.", "mister"))
    return " ".join(re.findall(r"[a-z']+", spoken.lower()))


def test_notes_are_written_better_than_by_the_general_model(
    free_text: FreeText, recordings: ModuleType
) -> None:
    """10 and 21 in a hundred words were wrong when this was written."""
    said = [
        one
        for one in recordings.load_manifest().recordings()
        if one.id == SAID_BY_ALL or (one.voice == "heart" and one.id in OF_ONE_VOICE)
    ]
    assert len(said) == 8
    texts = [" ".join(words(one.text)) for one in said]
    sounds = [of_file(one.path) for one in said]
    written, before = (
        jiwer.wer(texts, [plain(writer.in_sound(sound)) for sound in sounds])
        for writer in (free_text, FreeWords())
    )
    assert written < 0.15
    assert written < before


@pytest.mark.skipif(not NOVEL.is_dir(), reason=f"pocketsphinx-testdata is not in {FOLDER}")
def test_people_who_read_a_novel_are_written_down_well(free_text: FreeText) -> None:
    lines = (NOVEL / "transcription").read_text("utf-8").splitlines()
    listed = dict(reversed(re.findall(r"<s> (.*) </s> \((.*)\)", line)[0]) for line in lines)
    found = {name: plain(free_text.in_sound(in_quiet(NOVEL / f"{name}.wav"))) for name in listed}
    assert len(listed) == 5
    assert jiwer.wer(list(listed.values()), list(found.values())) < 0.1


def test_a_note_that_was_heard_has_capitals_and_a_stop(recordings: ModuleType) -> None:
    """From behind its word on, through the whole engine."""
    (path,) = [
        one.path
        for one in recordings.load_manifest().recordings()
        if (one.voice, one.id) == ("rms", SAID_BY_ALL)
    ]
    sound = of_file(path)
    meant, _ = (
        House(Settings())
        .hearing("pocketsphinx")
        .whole(Utterance(sound, 0.0, len(sound) / 16_000), "any", Prior())
    )
    assert meant.intent is not None
    text = str(meant.intent.slots["text"])
    assert jiwer.wer("slept badly after the long walk", plain(text)) < 0.4
    assert text[0].isupper()
    assert text == " ".join(text.split())


def test_without_the_package_the_general_model_writes(
    recordings: ModuleType, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(usable_transcriber, "weights_folder", lambda: None)
    (path,) = [
        one.path
        for one in recordings.load_manifest().recordings()
        if (one.voice, one.id) == ("heart", "t02")
    ]
    text = House(Settings()).recogniser("pocketsphinx").transcribe(of_file(path))
    assert text == "stand by the window for me please"
