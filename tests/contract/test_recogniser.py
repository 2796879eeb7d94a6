"""What every speech engine keeps, whatever it is made of.

To add an engine: write a fixture NAME_subject that gives a Subject, and put NAME into ENGINES.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from pathlib import Path
from types import ModuleType

import numpy as np
import pytest

from voicelog.audio.base import RATE_HZ, Samples
from voicelog.audio.sound_file import SoundFile
from voicelog.errors import RecogniserError
from voicelog.grammar.hypothesis import Expect, HeardWord, Hypothesis, Reading
from voicelog.grammar.template import vocabulary
from voicelog.recognisers.base import Recogniser
from voicelog.recognisers.scripted import ScriptedRecogniser
from voicelog.recognisers.vosk import VoskRecogniser
from voicelog.settings.fields import Settings
from voicelog.wiring import House

ENGINES = ("scripted", "vosk", "pocketsphinx")
SILENCE: Samples = np.zeros(RATE_HZ, np.int16)
BLOCK = 480


@dataclass(frozen=True)
class Subject:
    """An engine with sound that it hears well: for each expectation a sound and its words.

    `words` are all the words of the phrases that it was given.
    """

    recogniser: Recogniser
    spoken: Mapping[Expect, tuple[Samples, str]]
    words: frozenset[str]


@pytest.fixture(scope="session")
def scripted_subject() -> Subject:
    """A script that tells two sounds apart by their loudness."""
    texts = {1000: "right shoulder pain two", 2000: "affirm"}

    def hear(samples: Samples) -> Hypothesis:
        words = texts.get(int(samples.max(initial=0)), "").split()
        heard = tuple(HeardWord(word, 400 * n, 400 * n + 300, 0.9) for n, word in enumerate(words))
        readings = (Reading(heard),) if heard else ()
        return Hypothesis(readings, 0.9 if heard else 0.0, "scripted", "script", 0.0)

    sounds = {text: np.full(2 * RATE_HZ, level, np.int16) for level, text in texts.items()}
    return Subject(
        ScriptedRecogniser(hear, note="as scripted"),
        {
            "record": (sounds["right shoulder pain two"], "right shoulder pain two"),
            "command": (sounds["affirm"], "affirm"),
        },
        frozenset(" ".join(texts.values()).split()),
    )


@pytest.fixture(scope="session")
def vosk_subject(korean_model: Path, korean: Callable[..., Samples]) -> Subject:
    """The real engine with a real Korean model and a synthetic voice (left, knee, two; again)."""
    record = "왼쪽 무릎 사"
    phrases: dict[Expect, list[str]] = {
        "record": [record, "오른쪽 무릎 오", "왼쪽 허리 오", "오른쪽 허리 사"],
        "command": ["네", "아니요"],
    }
    return Subject(
        VoskRecogniser(korean_model, phrases),
        {"record": (korean(record), record), "command": (korean("아니요"), "아니요")},
        frozenset(
            word for listed in phrases.values() for phrase in listed for word in phrase.split()
        ),
    )


@pytest.fixture(scope="session")
def pocketsphinx_subject(recordings: ModuleType) -> Subject:
    """The embedded engine with the whole English language and a recorded voice."""
    house = House(Settings())
    spoken: dict[Expect, tuple[Samples, str]] = {}
    names: dict[Expect, str] = {"record": "r02", "command": "c01"}
    for expect, name in names.items():
        sentence = next(s for s in recordings.load_manifest().utterance if s.id == name)
        (path,) = [
            recording.path
            for recording in recordings.load_manifest().recordings()
            if (recording.voice, recording.id) == ("rms", name)
        ]
        with SoundFile(path) as source:
            samples = np.concatenate([block.samples for block in source])
        spoken[expect] = (samples, " ".join(recordings.words(sentence.text)))
    words = frozenset[str]().union(*(vocabulary(tree) for tree in house.phrases.trees.values()))
    return Subject(house.recogniser("pocketsphinx"), spoken, words)


@pytest.fixture(params=ENGINES)
def subject(request: pytest.FixtureRequest) -> Subject:
    made = request.getfixturevalue(f"{request.param}_subject")
    assert isinstance(made, Subject)
    return made


def listen(
    recogniser: Recogniser, expect: Expect, sound: Samples, block: int = BLOCK
) -> Hypothesis:
    recogniser.begin(expect)
    for start in range(0, len(sound), block):
        recogniser.hear(sound[start : start + block])
    return recogniser.end()


@pytest.mark.parametrize("expect", ["record", "command"])
def test_it_hears_what_was_said(subject: Subject, expect: Expect) -> None:
    sound, text = subject.spoken[expect]
    assert listen(subject.recogniser, expect, sound).text == text


def test_sound_that_others_were_taken_out_of_is_heard_too(subject: Subject) -> None:
    sound, text = subject.spoken["record"]
    subject.recogniser.begin("record")
    subject.recogniser.hear(sound)
    assert subject.recogniser.end(cleaned=True).text == text


def test_the_size_of_the_blocks_makes_no_difference(subject: Subject) -> None:
    sound, text = subject.spoken["record"]
    for block in (160, 4000, len(sound)):
        assert listen(subject.recogniser, "record", sound, block).text == text


@pytest.mark.parametrize("expect", ["record", "command"])
def test_a_pause_makes_no_difference_wherever_it_comes(subject: Subject, expect: Expect) -> None:
    sound, _ = subject.spoken[expect]
    without = listen(subject.recogniser, expect, sound)
    subject.recogniser.begin(expect)
    for start in range(0, len(sound), BLOCK):
        subject.recogniser.hear(sound[start : start + BLOCK])
        if start // BLOCK % 20 == 0 or start + BLOCK >= len(sound):
            subject.recogniser.pause()
    paused = subject.recogniser.end()
    assert [reading.text for reading in paused.readings] == [
        reading.text for reading in without.readings
    ]
    assert (paused.in_grammar > 0.5) == (without.in_grammar > 0.5)


def test_the_next_utterance_knows_nothing_of_the_last(subject: Subject) -> None:
    for expect in ("record", "command", "record"):
        sound, text = subject.spoken[expect]
        assert listen(subject.recogniser, expect, sound).text == text
        assert listen(subject.recogniser, expect, SILENCE).readings == ()


def test_an_utterance_that_was_not_ended_is_forgotten(subject: Subject) -> None:
    subject.recogniser.begin("record")
    subject.recogniser.hear(subject.spoken["record"][0])
    sound, text = subject.spoken["command"]
    assert listen(subject.recogniser, "command", sound).text == text


@pytest.mark.parametrize("expect", ["record", "command"])
def test_silence_has_no_readings_and_is_not_in_the_grammar(
    subject: Subject, expect: Expect
) -> None:
    heard = listen(subject.recogniser, expect, SILENCE)
    assert heard.readings == ()
    assert heard.text == ""
    assert heard.in_grammar == 0


def test_no_sound_at_all_is_heard_as_nothing(subject: Subject) -> None:
    subject.recogniser.begin("record")
    assert subject.recogniser.end().readings == ()


def test_what_it_says_of_itself_is_complete_and_in_range(subject: Subject) -> None:
    heard = listen(subject.recogniser, "record", subject.spoken["record"][0])
    assert (heard.engine, heard.model) == (subject.recogniser.engine, subject.recogniser.model)
    assert heard.engine
    assert heard.model
    assert 0.5 < heard.in_grammar <= 1
    assert heard.compute_s >= 0


def test_readings_are_best_first_and_all_differ(subject: Subject) -> None:
    readings = listen(subject.recogniser, "record", subject.spoken["record"][0]).readings
    weights = [reading.log_weight for reading in readings]
    assert weights[0] == 0
    assert weights == sorted(weights, reverse=True)
    assert len({reading.text for reading in readings}) == len(readings)


def test_words_are_of_the_phrases_and_lie_in_order_inside_the_sound(subject: Subject) -> None:
    sound, _ = subject.spoken["record"]
    for reading in listen(subject.recogniser, "record", sound).readings:
        assert {word.text for word in reading.words} <= subject.words
        assert all(0 <= word.confidence <= 1 for word in reading.words)
        edges = [edge for word in reading.words for edge in (word.start_ms, word.end_ms)]
        assert edges == sorted(edges)
        assert 0 <= edges[0] < edges[-1] <= 1000 * len(sound) / RATE_HZ


def test_sound_is_left_as_it_was(subject: Subject) -> None:
    sound, _ = subject.spoken["record"]
    before = sound.copy()
    listen(subject.recogniser, "record", sound)
    assert np.array_equal(sound, before)


def test_a_note_is_written_down_and_leaves_the_next_utterance_alone(subject: Subject) -> None:
    sound, text = subject.spoken["record"]
    assert subject.recogniser.transcribe(sound)
    assert listen(subject.recogniser, "record", sound).text == text


def test_sound_before_an_utterance_is_begun_is_an_error(subject: Subject) -> None:
    subject.recogniser.begin("record")
    subject.recogniser.end()
    with pytest.raises(RecogniserError, match="before an utterance"):
        subject.recogniser.hear(SILENCE)
    with pytest.raises(RecogniserError, match="before an utterance"):
        subject.recogniser.end()


def test_a_script_in_order_gives_its_lines_and_then_hears_nothing() -> None:
    line = Hypothesis(
        (Reading((HeardWord("affirm", 0, 500, 1.0),)),), 1.0, "scripted", "script", 0.0
    )
    recogniser = ScriptedRecogniser([line])
    assert listen(recogniser, "command", SILENCE) == line
    assert listen(recogniser, "any", SILENCE).readings == ()
    assert recogniser.awaited == ["command", "any"]
