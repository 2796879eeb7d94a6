"""The engine's ear in torch, against the engine's own log and its Gaussians in numpy."""

from pathlib import Path

import numpy as np
import pytest
import soundfile
from pocketsphinx import Decoder, get_model_path

from voicelog.recognisers.acoustic_model import load_acoustic_model
from voicelog.recognisers.aligning import features as features_in_numpy

torch = pytest.importorskip("torch", reason="torch is only there to teach the near voice")
from audio_fixtures.engine_ear import CEPSTRA, STATES, Ear, cepstra, features  # noqa: E402

RECORDING = Path(__file__).parents[2] / "audio_fixtures" / "slt" / "r04.flac"


def test_the_cepstra_are_those_that_the_engine_logs(tmp_path: Path) -> None:
    sound, _ = soundfile.read(RECORDING, dtype="int16")
    decoder = Decoder(lm=None, dict=None, loglevel="FATAL", mfclogdir=str(tmp_path))
    decoder.add_allphone_file("phones", get_model_path("en-us/en-us-phone.lm.bin"))
    decoder.activate_search("phones")
    decoder.start_utt()
    decoder.process_raw(sound.tobytes())
    decoder.end_utt()
    (file,) = tmp_path.glob("*.mfc")
    logged = np.frombuffer(file.read_bytes(), ">f4", offset=4).reshape(-1, CEPSTRA)
    found = cepstra(torch.tensor(sound[None].astype(np.float32)))[0].numpy()
    assert len(found) > 100
    np.testing.assert_allclose(found, logged[: len(found)], atol=0.01)


def test_features_and_scores_are_those_of_the_model_in_numpy() -> None:
    model = load_acoustic_model(Path(get_model_path("en-us/en-us")))
    levelled = np.random.default_rng(3).normal(0, [12] + [6] * (CEPSTRA - 1), (20, CEPSTRA))
    frames = features_in_numpy(levelled)
    same = features(torch.tensor(levelled[None], dtype=torch.float32))[0]
    np.testing.assert_allclose(same.numpy(), frames, atol=1e-4)
    found = Ear(model).scores(same).numpy().reshape(len(frames), -1, STATES)
    for senone in (0, 17, 100):
        each = model.densities(senone, frames)
        wanted = np.logaddexp.reduce(each, axis=-1).sum(axis=-1)
        book = model.codebook[senone]
        of_book = np.flatnonzero(model.codebook[: STATES * found.shape[1]] == book).tolist()
        state = of_book.index(senone)
        np.testing.assert_allclose(found[:, book, state], wanted, atol=0.02)
