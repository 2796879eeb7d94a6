"""What is taught is what is heard with: needs torch, which is no part of the tests' packages."""

import numpy as np
import pytest

pytest.importorskip("torch", reason="torch is needed to teach, and only there")

import torch

from audio_fixtures.teach_words import Student, teach, weights
from audio_fixtures.word_lessons import Lesson
from voicelog.recognisers.speech_embedding import SIZE
from voicelog.recognisers.whole_words import NONE_LESS, Network
from voicelog.recognisers.word_paths import NONE


def test_the_network_gives_what_the_student_learnt_with_torch() -> None:
    chance = np.random.default_rng(4)
    rows = chance.normal(3, 8, (20, SIZE)).astype(np.float32)
    mean = chance.normal(0, 5, SIZE).astype(np.float32)
    deviation = chance.uniform(2, 9, SIZE).astype(np.float32)
    torch.manual_seed(4)
    student = Student(12).eval()
    with torch.no_grad():
        (wanted,) = student(torch.tensor((rows - mean) / deviation)[None]).numpy()
    wanted[:, NONE] -= NONE_LESS
    wanted -= np.logaddexp.reduce(wanted, axis=1)[:, np.newaxis]
    found = Network(weights(student, mean, deviation)).scores(rows)
    np.testing.assert_allclose(found, wanted, atol=1e-3)


def test_words_that_sound_like_nothing_else_are_learnt() -> None:
    chance = np.random.default_rng(5)
    shapes = {"gap": chance.normal(0, 1, SIZE), "pain": chance.normal(0, 1, SIZE)}
    names = ("", *shapes)
    made = []
    for _ in range(200):
        said = tuple(chance.choice(list(shapes), size=2))
        heard = chance.normal(0, 0.3, (12, SIZE))
        heard[2:4] += shapes[said[0]]
        heard[7:9] += shapes[said[1]]
        made.append(Lesson("", said, heard.astype(np.float32)))
    taught = Network(teach(made, names, rounds=12, seed=1))
    for one in made[:20]:
        likeliest = [names[place] for place in taught.scores(one.heard).argmax(axis=1)]
        assert likeliest[2] == one.words[0] or likeliest[3] == one.words[0]
        assert likeliest[7] == one.words[1] or likeliest[8] == one.words[1]
