"""The model's files, the features and the transform, each held against the engine itself.

The engine logs the scores of all its senones for a frame (`senlogdir`): they count from the best of
the frame, in steps of its shifted logarithm, by the four nearest Gaussians alone. So they are not
the same numbers as the likelihoods computed here, but must rise and fall with them.
"""

from collections.abc import Callable
from pathlib import Path
from types import ModuleType

import numpy as np
import pytest
from numpy.typing import NDArray
from pocketsphinx import Decoder

from voicelog.audio.base import Samples
from voicelog.audio.sound_file import SoundFile
from voicelog.data_files.languages import language_folder, load_pronunciations
from voicelog.enrolment.learning import speech_of
from voicelog.errors import RecogniserError
from voicelog.grammar.hypothesis import Expect
from voicelog.grammar.language import LanguageData
from voicelog.grammar.template import Node, Word
from voicelog.recognisers.acoustic_model import AcousticModel, Floats, load_acoustic_model
from voicelog.recognisers.aligning import MODEL_FOLDER, Aligned, Aligner, features, levelled
from voicelog.recognisers.embedded import Kept, model_name
from voicelog.recognisers.lexicon import lexicon
from voicelog.recognisers.mllr import Spoken, Transform, estimate, log_likelihood, unmoved
from voicelog.recognisers.pocketsphinx import PocketSphinxRecogniser
from voicelog.recognisers.voice_file import check_voice, written

MEAN = "40,3,-1,0,0,0,0,0,0,0,0,0,0"
NEAR = 400
"""Scores below this are not cut off by the engine."""
Scores = NDArray[np.float64]


@pytest.fixture(scope="module")
def model() -> AcousticModel:
    return load_acoustic_model(MODEL_FOLDER)


@pytest.fixture
def logged(tmp_path: Path, speech: Samples) -> Callable[[Path | None], tuple[Floats, Scores]]:
    """The features of some sound, and what the engine logs of it, with a voice or without."""

    def log(voice: Path | None) -> tuple[Floats, Scores]:
        more = {} if voice is None else {"mllr": str(voice)}
        folder = tmp_path / f"log {len(list(tmp_path.iterdir()))}"
        folder.mkdir()
        where = dict.fromkeys(("mfclogdir", "senlogdir"), str(folder))
        decoder = Decoder(lm=None, loglevel="FATAL", compallsen=True, **where, **more)
        decoder.set_align_text("left")
        decoder.set_cmn(MEAN)
        decoder.start_utt()
        decoder.process_raw(speech[:16_000].tobytes())
        decoder.end_utt()
        (cepstra,) = (p.read_bytes() for p in folder.glob("*.mfc"))
        (scores,) = (p.read_bytes() for p in folder.glob("*.sen"))
        plain = np.frombuffer(cepstra, ">f4", offset=4).reshape(-1, 13).astype(np.float64)
        rows = np.frombuffer(scores[scores.index(b"endhdr\n") + 11 :], "<i2").reshape(-1, 5127)
        start = levelled(plain, np.array(MEAN.split(","), float))
        return features(start), rows[:, 1:].astype(np.float64)

    return log


def agreement(model: AcousticModel, frames: Floats, scores: Scores) -> float:
    """The mean correlation, over some frames, of what is computed here and what the engine has."""
    found = []
    for frame in range(10, len(scores) - 10, 9):
        one = frames[frame : frame + 1]
        near = np.flatnonzero(scores[frame] < NEAR)
        mine = [
            np.logaddexp.reduce(model.densities(int(senone), one), axis=-1).sum()
            for senone in near[::8]
        ]
        found.append(np.corrcoef(mine, -scores[frame, near[::8]])[0, 1])
    return float(np.mean(found))


def test_the_likelihoods_are_those_of_the_engine(
    model: AcousticModel, logged: Callable[[Path | None], tuple[Floats, Scores]]
) -> None:
    assert agreement(model, *logged(None)) > 0.93


def test_the_engine_moves_its_means_as_the_file_says(
    model: AcousticModel,
    logged: Callable[[Path | None], tuple[Floats, Scores]],
    tmp_path: Path,
) -> None:
    chance = np.random.default_rng(5)
    same = unmoved(model)
    moved = Transform(
        same.matrix + chance.normal(0, 0.3, same.matrix.shape),
        chance.normal(0, 2.0, same.offset.shape),
    )
    voice = tmp_path / "voice"
    voice.write_bytes(written(moved, "en-us"))
    frames, scores = logged(voice)
    as_moved = agreement(moved.apply(model), frames, scores)
    assert as_moved > 0.93
    assert agreement(model, frames, scores) < as_moved - 0.1


def test_a_model_that_is_damaged_is_told(tmp_path: Path) -> None:
    for name in ("mdef", "means", "variances", "sendump"):
        (tmp_path / name).write_bytes((MODEL_FOLDER / name).read_bytes()[:2_000])
    with pytest.raises(RecogniserError, match="cannot be read"):
        load_acoustic_model(tmp_path)


@pytest.fixture(scope="module")
def read(recordings: ModuleType, language: LanguageData) -> dict[str, Aligned]:
    """Some sentences of the formant voice, aligned."""
    said = [r for r in recordings.load_manifest().recordings() if r.voice == "esp"][:6]
    plain = {r.text: tuple(recordings.words(r.text)) for r in said}
    words = {word for each in plain.values() for word in each}
    sounds = lexicon(words, load_pronunciations(language_folder("en")))
    aligner = Aligner(sounds)
    found = {r.text: aligner.align(plain[r.text], speech_of(SoundFile(r.path))) for r in said}
    aligner.close()
    return {text: one for text, one in found.items() if one is not None}


def joined(aligned: list[Aligned]) -> Spoken:
    return Spoken(
        np.concatenate([one.spoken.frames for one in aligned]),
        np.concatenate([one.spoken.senones for one in aligned]),
    )


def test_what_was_said_aligns(read: dict[str, Aligned]) -> None:
    assert len(read) == 6
    assert all(one.ratio > -5 for one in read.values())


def test_other_phrases_of_the_same_speaker_become_likelier(
    read: dict[str, Aligned], model: AcousticModel
) -> None:
    phrases = list(read.values())
    learnt_from, others = joined(phrases[::2]), joined(phrases[1::2])
    moved = estimate(model, learnt_from).apply(model)
    assert log_likelihood(moved, learnt_from) > log_likelihood(model, learnt_from) + 5
    assert log_likelihood(moved, others) > log_likelihood(model, others) + 5


@pytest.mark.parametrize("damage", [b"", b"1\n3\n13\n", b"\xff\xfe"])
def test_a_damaged_voice_is_known_before_the_engine_meets_it(
    damage: bytes, model: AcousticModel, tmp_path: Path
) -> None:
    file = tmp_path / "voice"
    whole = written(unmoved(model), "en-us 1")
    file.write_bytes(whole)
    check_voice(file, "en-us 1")
    for content in (damage, whole[:-90], whole.replace(b"0", b"1", 1)):
        file.write_bytes(content)
        with pytest.raises(RecogniserError, match="cannot be used"):
            check_voice(file, "en-us 1")


def test_a_voice_of_another_model_is_told(model: AcousticModel, tmp_path: Path) -> None:
    file = tmp_path / "voice"
    file.write_bytes(written(unmoved(model), "en-us 1"))
    with pytest.raises(RecogniserError, match="learnt for the model en-us 1, and en-us 2"):
        check_voice(file, "en-us 2")


def test_what_a_record_keeps_of_its_engine_tells_that_a_voice_was_in_use(
    model: AcousticModel, tmp_path: Path
) -> None:
    voice = tmp_path / "voice"
    voice.write_bytes(written(unmoved(model), model_name()))
    trees: dict[Expect, Node] = {"any": Word("affirm"), "command": Word("affirm")}
    same = PocketSphinxRecogniser(trees, {})
    moved = PocketSphinxRecogniser(trees, {}, kept=Kept(voice=voice))
    assert same.model == model_name()
    assert moved.model == f"{model_name()}, moved towards a voice"
