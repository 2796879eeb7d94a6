"""What several of these tests start from: the English language, and a dictation as sound."""

from types import ModuleType

import numpy as np
import pytest
import soundfile

from voicelog.audio.base import RATE_HZ, Samples
from voicelog.grammar.language import LanguageData
from voicelog.grammar.phrases import Phrases
from voicelog.grammar_files import language_folder, load_language


@pytest.fixture(scope="session")
def language() -> LanguageData:
    return load_language(language_folder("en"))


@pytest.fixture(scope="session")
def phrases(language: LanguageData) -> Phrases:
    return Phrases(language)


@pytest.fixture(scope="session")
def speech(recordings: ModuleType) -> Samples:
    """The first of the recordings, a trial by a synthetic voice."""
    path = recordings.load_manifest().recordings()[0].path
    samples, rate_hz = soundfile.read(path, dtype="int16")
    assert rate_hz == RATE_HZ
    return np.asarray(samples, np.int16)
