"""`voicelog enrol`: what is kept, what is not, and what is said about it.

What is learnt is left to `test_own_model`; here a stand-in for it says whether a voice helps.
"""

from collections.abc import Callable, Iterator
from pathlib import Path
from types import TracebackType
from typing import Any, Self

import numpy as np
import pytest
import soundfile
from typer.testing import CliRunner, Result

from tests.listener import Listener
from voicelog.audio.base import RATE_HZ, Samples
from voicelog.audio.sound_file import SoundFile
from voicelog.cli.app import app
from voicelog.cli.check import enrolled
from voicelog.enrolment.kept_voice import usable_voice, voice_file
from voicelog.enrolment.learning import Enrolment, Learnt, Outcome, Take
from voicelog.errors import RecogniserError
from voicelog.grammar.template import vocabulary
from voicelog.recognisers.embedded import model_name
from voicelog.recognisers.mllr import Spoken, Transform
from voicelog.recognisers.voice_file import written
from voicelog.settings.fields import Settings
from voicelog.speech.printed import PrintedVoice
from voicelog.wiring import House
from voicelog.words.auditing import sounds

VOICE = written(Transform(np.tile(np.eye(13), (3, 1, 1)), np.zeros((3, 13))), model_name())
"""A voice that moves nothing."""
PHRASES = ("left knee flexion gap trial pain four", "drill heel raise three sets of ten")
NOTHING = Spoken(np.empty((0, 3, 13)), np.empty(0, dtype=np.intp))


class Learning:
    """In the place of an enrolment: takes what it is told to, and learns what it is told."""

    phrases = PHRASES

    def __init__(self, house: House) -> None:
        self.heard: list[Samples] = []

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        pass

    answers: tuple[str, ...] = ()
    learnt = Learnt(VOICE, 2, Outcome(0, 0, 0.5), Outcome(2, 0, 0.9))

    def take(self, phrase: str, samples: Samples) -> Take | str:
        self.heard.append(samples)
        place = len(self.heard) - 1
        trouble = self.answers[place] if place < len(self.answers) else ""
        return trouble or Take(tuple(phrase.split()), samples, NOTHING)

    def learn(self, takes: list[Take]) -> Learnt:
        return self.learnt


@pytest.fixture
def learning(monkeypatch: pytest.MonkeyPatch) -> type[Learning]:
    class Own(Learning):
        pass

    monkeypatch.setattr("voicelog.enrolment.learning.Enrolment", Own)
    return Own


@pytest.fixture
def file(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Where the voice is kept."""
    monkeypatch.setenv("VOICELOG_SETTINGS", str(tmp_path / "settings.toml"))
    monkeypatch.setenv("VOICELOG_DATA_FOLDER", str(tmp_path / "data"))
    return voice_file(Settings())


@pytest.fixture
def enrol(file: Path, monkeypatch: pytest.MonkeyPatch) -> Callable[..., Result]:
    monkeypatch.setenv("COLUMNS", "200")
    return lambda *arguments: CliRunner().invoke(app, ["enrol", *arguments])


@pytest.fixture
def folder(tmp_path: Path, speech: Samples) -> Path:
    """Two files, named by their phrases."""
    made = tmp_path / "read"
    made.mkdir()
    for number in (1, 2):
        soundfile.write(made / f"{number}.wav", speech, RATE_HZ)
    return made


def test_a_voice_that_helps_is_kept(
    enrol: Callable[..., Result], learning: type[Learning], folder: Path, file: Path
) -> None:
    done = enrol("--from", str(folder))
    assert done.exit_code == 0, done.output
    assert "right at once 0 without, 2 with your voice" in done.output
    assert file.read_bytes() == VOICE
    assert [p.name for p in file.parent.iterdir()] == [file.name]


@pytest.mark.parametrize(
    "after", [Outcome(0, 0, 0.5), Outcome(1, 1, 0.9), Outcome(0, 0, 0.4)]
)  # no better; one more is wrong; less sure
def test_a_voice_that_does_not_help_is_not_kept(
    enrol: Callable[..., Result],
    learning: type[Learning],
    folder: Path,
    file: Path,
    after: Outcome,
) -> None:
    learning.learnt = Learnt(VOICE, 2, Outcome(0, 0, 0.5), after)
    done = enrol("--from", str(folder))
    assert "not kept" in done.output
    assert not file.exists()


def test_files_are_numbered_or_exactly_as_many_as_phrases(
    enrol: Callable[..., Result], learning: type[Learning], folder: Path, file: Path
) -> None:
    (folder / "1.wav").rename(folder / "first.wav")
    (folder / "2.wav").rename(folder / "second.wav")
    assert enrol("--from", str(folder)).exit_code == 0
    (folder / "second.wav").unlink()
    done = enrol("--from", str(folder))
    assert done.exit_code != 0
    assert "1 WAV or FLAC file, and" in str(done.exception)


def test_a_folder_that_is_not_there_is_told(
    enrol: Callable[..., Result], learning: type[Learning], tmp_path: Path
) -> None:
    assert "cannot be read" in str(enrol("--from", str(tmp_path / "nowhere")).exception)


def test_the_phrases_say_every_sound_of_the_grammar(enrol: Callable[..., Result]) -> None:
    done = enrol("--list")
    assert done.exit_code == 0
    listed = [line.split(maxsplit=1)[1] for line in done.output.splitlines()]
    assert len(listed) == 20
    house = House(Settings())
    words = vocabulary(house.phrases.trial) | vocabulary(house.phrases.drill)
    said = sounds(words, house.language_folder, house.pronunciations)
    phones = {word: set(said[word][0].split()) for word in words}
    read = set[str]().union(*(phones[word] for phrase in listed for word in phrase.split()))
    assert read == set[str]().union(*phones.values())


def test_what_cannot_be_learnt_from_is_told(file: Path, speech: Samples) -> None:
    with Enrolment(House(Settings())) as enrolment:
        phrase = enrolment.phrases[0]
        assert enrolment.take(phrase, speech[:2_000]) == "That was too short"
        loud = np.clip(speech.astype(int) * 60, -32_768, 32_767).astype(np.int16)
        assert enrolment.take(phrase, loud) == "That was too loud and clipped"
        assert enrolment.take(phrase, speech) == "That did not sound like the phrase"


def test_at_the_microphone_a_phrase_is_asked_once_more(
    enrol: Callable[..., Result],
    learning: type[Learning],
    spoken_twice: Path,
    monkeypatch: pytest.MonkeyPatch,
    file: Path,
) -> None:
    said: list[str] = []
    monkeypatch.setattr(House, "microphone", lambda *_: SoundFile(spoken_twice))
    monkeypatch.setattr(House, "voice", lambda _: PrintedVoice(said.append))
    learning.answers = ("That was too short",)
    done = enrol()
    assert done.exit_code == 0, done.output
    assert said == [PHRASES[0], PHRASES[0], PHRASES[1]]
    assert "That was too short. Once more, please." in done.output
    assert file.exists()


@pytest.fixture
def spoken_twice(tmp_path: Path, speech: Samples) -> Path:
    """Three times the same dictation, with quiet between."""
    quiet = np.random.default_rng(1).normal(0, 8, 2 * RATE_HZ).astype(np.int16)
    path = tmp_path / "room.wav"
    soundfile.write(path, np.concatenate([quiet, speech] * 3 + [quiet]), RATE_HZ)
    return path


def test_ctrl_c_leaves_everything_as_it_was(
    enrol: Callable[..., Result],
    learning: type[Learning],
    folder: Path,
    file: Path,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    assert enrol("--from", str(folder)).exit_code == 0
    before = file.read_bytes()

    def interrupted(*_: Any) -> Iterator[Take]:
        raise KeyboardInterrupt

    monkeypatch.setattr(learning, "take", interrupted)
    done = enrol("--from", str(folder))
    assert done.exit_code == 1
    assert "as it was" in done.output
    assert file.read_bytes() == before
    assert [p.name for p in file.parent.iterdir()] == [file.name]


def test_a_voice_can_be_forgotten(enrol: Callable[..., Result], file: Path) -> None:
    file.parent.mkdir(parents=True)
    file.write_bytes(VOICE)
    assert "removed" in enrol("--forget").output
    assert not file.exists()
    assert "No voice is on file" in enrol("--forget").output


def test_the_neural_engine_takes_no_voice(
    enrol: Callable[..., Result], monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    monkeypatch.setenv("VOICELOG_ENGINE", "vosk")
    done = enrol("--from", str(tmp_path))
    assert done.exit_code != 0
    assert "takes no enrolled voice" in str(done.exception)


def test_a_damaged_voice_is_told_in_a_line_and_not_used(file: Path) -> None:
    person = Listener()
    assert usable_voice(Settings(), person) is None
    assert person.told == []
    file.parent.mkdir(parents=True)
    file.write_bytes(VOICE)
    assert usable_voice(Settings(), person) == file
    file.write_bytes(VOICE[:-80])
    assert usable_voice(Settings(), person) is None
    (line,) = person.told
    assert "\n" not in line
    assert "Listening goes on without it" in line
    assert House(Settings(), person).recogniser("pocketsphinx").engine == "pocketsphinx"


@pytest.mark.parametrize("name", ["CD", "Kim M.", "..", "a/b"])
def test_each_practitioner_has_a_voice_of_their_own(file: Path, name: str) -> None:
    own = voice_file(Settings(practitioner=name))
    assert own != file
    assert own.parent.resolve() == file.parent.resolve()


def test_the_check_tells_whether_a_voice_is_enrolled(file: Path) -> None:
    house = House(Settings())
    assert "none is enrolled" in enrolled(house, "pocketsphinx")
    assert "takes no enrolled voice" in enrolled(house, "vosk")
    file.parent.mkdir(parents=True)
    file.write_bytes(VOICE)
    assert enrolled(house, "pocketsphinx") == f"{file} is in use"
    file.write_bytes(VOICE[:-80])
    with pytest.raises(RecogniserError, match="damaged"):
        enrolled(house, "pocketsphinx")
