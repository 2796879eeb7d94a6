"""What is taught is what is heard with: needs torch and the reader of the network of others, which
are no part of the tests' packages."""

import numpy as np
import pytest

pytest.importorskip("torch", reason="torch is needed to teach, and only there")
pytest.importorskip("ai_edge_litert", reason="ai-edge-litert is needed to teach, and only there")

import torch

from audio_fixtures.teach_numbers import Student, folded
from voicelog.recognisers.last_number import WORDS, Network
from voicelog.recognisers.speech_embedding import SIZE


def test_the_network_gives_what_the_student_learnt_with_torch() -> None:
    chance = np.random.default_rng(4)
    rows = chance.normal(3, 8, (7, SIZE)).astype(np.float32)
    mean = chance.normal(0, 5, SIZE).astype(np.float32)
    deviation = chance.uniform(2, 9, SIZE).astype(np.float32)
    torch.manual_seed(4)
    student = Student().eval()
    with torch.no_grad():
        shown = torch.tensor((rows - mean) / deviation)
        (wanted,) = student(shown[None]).numpy()
    found = Network(folded(student, mean, deviation)).scores(rows)
    assert found.shape == (len(WORDS) + 1,)
    np.testing.assert_allclose(found, wanted, atol=1e-3)
