"""Moves the means of a model towards one speaker: maximum likelihood linear regression.

Leggetter and Woodland 1995 (Computer Speech and Language 9:171-185, from memory): every mean m
becomes A m + b, with the A and b under which what she said is likeliest. With diagonal covariances
each row of A and b is a system of equations of its own. One A and b for each stream of features,
for all phones alike. Twenty phrases say little, so `PRIOR_FRAMES` frames spread over all Gaussians
of the model are added to hers, heard just where the model has them: without speech nothing moves.
"""

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from voicelog.recognisers.acoustic_model import AcousticModel, Floats

PRIOR_FRAMES = 10.0
ROUNDS = 4


@dataclass(frozen=True, slots=True)
class Spoken:
    """Frames of speech, (frames, streams, length), and the senone that each was aligned with."""

    frames: Floats
    senones: NDArray[np.intp]


@dataclass(frozen=True, slots=True)
class Transform:
    """`matrix`, (streams, length, length), and `offset`, (streams, length)."""

    matrix: Floats
    offset: Floats

    def apply(self, model: AcousticModel) -> AcousticModel:
        """The model with its means moved."""
        turned = np.einsum("fij,cfkj->cfki", self.matrix, model.means)
        return model.moved(turned + self.offset[None, :, None, :])


def unmoved(model: AcousticModel) -> Transform:
    """The transform that changes nothing."""
    _, streams, _, length = model.means.shape
    return Transform(np.tile(np.eye(length), (streams, 1, 1)), np.zeros((streams, length)))


def log_likelihood(model: AcousticModel, spoken: Spoken) -> float:
    """In nats per frame, of speech in the senones it was aligned with."""
    total = sum(
        np.logaddexp.reduce(model.densities(senone, frames), axis=-1).sum()
        for senone, frames in _by_senone(spoken)
    )
    return float(total) / max(1, len(spoken.senones))


def estimate(
    model: AcousticModel, spoken: Spoken, *, prior: float = PRIOR_FRAMES, rounds: int = ROUNDS
) -> Transform:
    """The transform that makes the speech likeliest, `prior` frames of the model's own beside it.

    Each round weighs anew which Gaussians spoke, with the means as moved so far (expectation
    maximisation): the likelihood never falls.
    """
    found = unmoved(model)
    own_normal, own_target = _own(model)
    for _ in range(rounds):
        normal, target = _sums(model, found.apply(model), spoken)
        both = normal + prior * own_normal, target + prior * own_target
        rows: Floats = np.linalg.solve(both[0], both[1][..., None]).astype(np.float64)[..., 0]
        found = Transform(rows[..., :-1], rows[..., -1])
    return found


def _extended(means: Floats) -> Floats:
    """Means with a 1 behind each, (..., length + 1), as b is a column more of A."""
    return np.concatenate([means, np.ones((*means.shape[:-1], 1))], axis=-1)


def _sums(model: AcousticModel, moved: AcousticModel, spoken: Spoken) -> tuple[Floats, Floats]:
    """The equations of each row: (streams, length, length + 1, length + 1), and their right side.
    Which Gaussian spoke is told by the `moved` means, what is moved are those of the model."""
    held, heard = np.zeros(model.means.shape[:3]), np.zeros(model.means.shape)
    for senone, frames in _by_senone(spoken):
        scores = moved.densities(senone, frames)
        share = np.exp(scores - np.logaddexp.reduce(scores, axis=-1, keepdims=True))
        held[model.codebook[senone]] += share.sum(axis=0)
        heard[model.codebook[senone]] += np.einsum("tfk,tfi->fki", share, frames)
    return _equations(model.means, model.variances, held, heard)


def _equations(
    means: Floats, variances: Floats, held: Floats, heard: Floats
) -> tuple[Floats, Floats]:
    """Both sides of the equations from how many frames each Gaussian `held` and their sum."""
    extended = _extended(means)
    outer = extended[..., :, None] * extended[..., None, :]
    normal = np.einsum("cfki,cfkjl->fijl", held[..., None] / variances, outer, optimize=True)
    target = np.einsum("cfki,cfkj->fij", heard / variances, extended, optimize=True)
    return normal, target


def _own(model: AcousticModel) -> tuple[Floats, Floats]:
    """The equations of one frame spread over all speech of the model, heard where its means are."""
    speech = [book for book in range(len(model.means)) if book not in model.silent]
    means = model.means[speech]
    held = np.full(means.shape[:3], 1 / (means.shape[0] * means.shape[2]))
    return _equations(means, model.variances[speech], held, held[..., None] * means)


def _by_senone(spoken: Spoken) -> Iterable[tuple[int, Floats]]:
    for senone in np.unique(spoken.senones):
        yield int(senone), spoken.frames[spoken.senones == senone]
