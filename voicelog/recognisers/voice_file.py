"""The file of an enrolled voice, in the layout in which PocketSphinx reads a transform of means.

Numbers as text (ps_mllr.c of its source): how many classes (1), how many streams, then for each
stream its length, the rows of A, then b, then the factors of the variances (all 1). The engine
reads no further, so two lines follow by which a file that is damaged, or was learnt for another
model, is known before the engine meets it.
"""

import hashlib
from pathlib import Path

import numpy as np

from voicelog.errors import RecogniserError
from voicelog.recognisers.mllr import Transform

_MODEL, _DIGEST = "model ", "sha256 "


def written(transform: Transform, model: str) -> bytes:
    """The file's content; `model` names the model that the voice was learnt for."""
    streams, length = transform.offset.shape
    lines = ["1", str(streams)]
    for rows, offset in zip(transform.matrix, transform.offset, strict=True):
        lines += [str(length), *(_numbers(row) for row in rows)]
        lines += [_numbers(offset), _numbers(np.ones(length))]
    text = "\n".join([*lines, _MODEL + model, ""])
    return (text + _DIGEST + hashlib.sha256(text.encode()).hexdigest() + "\n").encode()


def check_voice(path: Path, model: str) -> None:
    """Find out whether a file is whole and was learnt for the model of that name.

    Raises RecogniserError.
    """
    try:
        text = path.read_text(encoding="utf-8")
    except (OSError, UnicodeDecodeError) as error:
        raise _unusable(path, "it cannot be read") from error
    body, found, digest = text.rpartition(_DIGEST)
    if not found or digest.strip() != hashlib.sha256(body.encode()).hexdigest():
        raise _unusable(path, "it is damaged, or was not written by voicelog")
    learnt_for = body.rpartition(_MODEL)[2].strip()
    if learnt_for != model:
        raise _unusable(path, f"it was learnt for the model {learnt_for}, and {model} is in use")


def _numbers(row: object) -> str:
    return " ".join(f"{number:.8g}" for number in np.asarray(row, dtype=np.float64))


def _unusable(path: Path, why: str) -> RecogniserError:
    return RecogniserError(
        f"The enrolled voice {path} cannot be used: {why}",
        kept="Listening goes on without it, as it does for every voice",
        do="Run `voicelog enrol` once more, or `voicelog enrol --forget`",
    )
