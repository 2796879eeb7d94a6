"""The transcriber with its real weights, held against the library that its package brings along.

That library computes the same weights with its own runtime; it cuts a recording into lines by
itself and gives the sound of each with its text. The recordings are of the package, too: somebody
reads, once for nearly ten seconds without a pause.
"""

import json
import subprocess
import sys
from itertools import pairwise
from pathlib import Path

import jiwer
import numpy as np
import pytest
import soundfile
import soxr

from audio_fixtures.manifest import load_manifest
from voicelog.audio.base import RATE_HZ, Samples
from voicelog.audio.sound_file import SoundFile
from voicelog.grammar.template import vocabulary
from voicelog.recognisers.transcriber import END, START, Transcriber, weights_folder
from voicelog.recognisers.word_pieces import SPACE, WordPieces
from voicelog.settings.fields import Settings
from voicelog.wiring import House

WEIGHTS = weights_folder()
pytestmark = pytest.mark.skipif(WEIGHTS is None, reason="moonshine-voice is not installed")
LIBRARY = """
import json, sys, numpy
from moonshine_voice import ModelArch, Transcriber
folder, sound, to = sys.argv[1:]
lines = Transcriber(folder, ModelArch.TINY).transcribe_without_streaming(
    (numpy.load(sound) / 32768).tolist(), 16_000
).lines
numpy.savez(to, *[numpy.array(line.audio_data) * 32768 for line in lines])
print(json.dumps([line.text for line in lines]))
"""


@pytest.fixture(scope="module")
def folder() -> Path:
    assert WEIGHTS is not None
    return WEIGHTS


@pytest.fixture(scope="module")
def transcriber(folder: Path) -> Transcriber:
    return Transcriber(folder)


@pytest.fixture(scope="module")
def pieces(folder: Path) -> WordPieces:
    return WordPieces(folder / "tokenizer.bin")


def likeliest(transcriber: Transcriber, sound: Samples) -> list[int]:
    """The likeliest piece, and the next, until the text ends."""
    writing, found = transcriber.writing(transcriber.heard(sound), 1), [START]
    while found[-1] != END and len(found) < 100:
        found.append(int(writing.go_on([found[-1]], [0])[0].argmax()))
    return found[1:-1]


@pytest.mark.parametrize(
    ("name", "from_s", "lines"), [("beckett.wav", 0, 5), ("two_cities.wav", 28.5, 2)]
)
def test_it_writes_what_the_library_of_its_makers_writes(
    folder: Path,
    transcriber: Transcriber,
    pieces: WordPieces,
    tmp_path: Path,
    name: str,
    from_s: float,
    lines: int,
) -> None:
    """With its mistakes: both are one network. Whole numbers of 8 bits are rounded otherwise by
    another runtime, so that a capital or a letter may differ."""
    samples, rate_hz = soundfile.read(folder.parent / name, dtype="float32", always_2d=True)
    heard = soxr.resample(samples[round(from_s * rate_hz) :, 0], rate_hz, RATE_HZ)
    np.save(tmp_path / "sound.npy", np.asarray(heard * 32_768, np.int16))
    files = [str(folder), str(tmp_path / "sound.npy"), str(tmp_path / "lines.npz")]
    done = subprocess.run([sys.executable, "-c", LIBRARY, *files], capture_output=True, check=True)
    texts = json.loads(done.stdout)
    cut = np.load(tmp_path / "lines.npz")
    sounds = [np.round(cut[line]).astype(np.int16) for line in cut.files]
    ours = [pieces.text(likeliest(transcriber, sound)) for sound in sounds]
    assert len(texts) >= lines
    assert jiwer.cer(" ".join(texts).lower(), " ".join(ours).lower()) < 0.02


def test_sound_of_any_length_is_heard(transcriber: Transcriber) -> None:
    """From 9.2 seconds on there are more rows than one of its mask stands for samples."""
    for seconds in (0.1, 9, 10, 20):
        writing = transcriber.writing(transcriber.heard(noise(seconds)), 2)
        first = writing.go_on([START], [0])
        both = writing.go_on([int(first[0].argmax()), END], [0, 0])
        assert np.exp(first).sum() == pytest.approx(1, abs=1e-3)
        assert np.exp(both).sum(axis=1) == pytest.approx([1, 1], abs=1e-3)


def noise(seconds: float) -> Samples:
    return np.random.default_rng(1).normal(0, 500, round(seconds * RATE_HZ)).astype(np.int16)


def test_texts_side_by_side_are_written_as_each_alone(transcriber: Transcriber) -> None:
    """Nearly so: numbers of 8 bits are scaled to all that stand side by side."""
    heard = transcriber.heard(noise(2))
    together, alone = transcriber.writing(heard, 3), transcriber.writing(heard, 1)
    together.go_on([START], [0])
    together.go_on([400, 500, 600], [0, 0, 0])
    rows = together.go_on([700, 800], [2, 0])
    for piece in (START, 600, 700):
        (row,) = alone.go_on([piece], [0])
    same, other = (np.abs(found - row).mean() for found in rows)
    assert same < 0.3
    assert other > 3 * same


def test_all_words_of_the_english_pack_can_be_written(pieces: WordPieces) -> None:
    trees = House(Settings()).phrases.trees.values()
    words = sorted(frozenset[str]().union(*(vocabulary(tree) for tree in trees)))
    assert len(words) > 250
    for word in words:
        for written in (word, word.capitalize()):
            assert pieces.text(pieces.of(SPACE + written)) == written
    for one, other in pairwise(words):
        both = pieces.of(SPACE + one + SPACE + other)
        assert both == (*pieces.of(SPACE + one), *pieces.of(SPACE + other))


def test_words_are_cut_into_the_pieces_that_it_writes_by_itself(
    transcriber: Transcriber, pieces: WordPieces
) -> None:
    """It learnt to write from its makers' own pieces. Where it is unsure it may write others."""
    wrote = agreed = 0
    for one in load_manifest().recordings():
        if one.voice == "heart" and one.id in ("r01", "r05", "r06", "r08", "r09", "r12", "n01"):
            found = likeliest(transcriber, of_file(one.path))
            for word in pieces.text(found).split():
                number = pieces.of(SPACE + word)
                wrote += 1
                agreed += any(
                    tuple(found[at : at + len(number)]) == number for at in range(len(found))
                )
    assert wrote > 50
    assert agreed / wrote > 0.95


def of_file(path: Path) -> Samples:
    with SoundFile(path) as source:
        return np.concatenate([block.samples for block in source])
