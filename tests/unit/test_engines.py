"""Which engine is taken, and what is said when there is none."""

import pytest

from voicelog.data_files.languages import language_folder, load_language
from voicelog.engines import engine_name
from voicelog.errors import ConfigurationError

ENGLISH = load_language(language_folder("en"))
KOREAN = load_language(language_folder("ko"))


def test_vosk_is_taken_once_its_model_is_installed() -> None:
    assert engine_name("auto", ENGLISH, vosk_installed=False) == "pocketsphinx"
    assert engine_name("auto", ENGLISH, vosk_installed=True) == "vosk"


def test_a_language_that_only_vosk_knows_asks_for_vosk() -> None:
    assert engine_name("auto", KOREAN, vosk_installed=False) == "vosk"


def test_an_engine_without_a_model_is_named_with_those_that_have_one() -> None:
    with pytest.raises(ConfigurationError) as told:
        engine_name("pocketsphinx", KOREAN, vosk_installed=True)
    assert "has no model for" in told.value.what
    assert "vosk" in told.value.do


def test_an_engine_that_nobody_knows_is_said_to_be_none() -> None:
    with pytest.raises(ConfigurationError, match='no engine "ear"'):
        engine_name("ear", ENGLISH, vosk_installed=False)
