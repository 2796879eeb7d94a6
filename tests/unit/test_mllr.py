"""Moving a model towards a speaker, on Gaussians that were moved by a known map.

Weighted least squares are by statsmodels; that a transform of means is one where each frame has one
Gaussian is equation 16 of Leggetter and Woodland 1995 (from memory).
"""

import numpy as np
import pytest
from statsmodels.regression.linear_model import WLS

from voicelog.recognisers.acoustic_model import AcousticModel, Floats
from voicelog.recognisers.mllr import Spoken, Transform, estimate, log_likelihood, unmoved

BOOKS, STREAMS, DENSITIES, LENGTH = 6, 2, 4, 3
SENONES = 12


def model(densities: int = DENSITIES) -> AcousticModel:
    chance = np.random.default_rng(1)
    shape = (BOOKS, STREAMS, densities, LENGTH)
    return AcousticModel(
        means=chance.normal(0, 4, shape),
        variances=chance.uniform(0.3, 2, shape),
        log_weights=np.log(chance.dirichlet(np.ones(densities), (SENONES, STREAMS))),
        codebook=np.arange(SENONES) % BOOKS,
        silent=frozenset({0}),
    )


def known_map() -> Transform:
    chance = np.random.default_rng(2)
    matrix = np.eye(LENGTH) + chance.normal(0, 0.15, (STREAMS, LENGTH, LENGTH))
    return Transform(matrix, chance.normal(0, 1, (STREAMS, LENGTH)))


def spoken(by: AcousticModel, count: int) -> Spoken:
    """Frames drawn from the Gaussians of senones, as many from each."""
    chance = np.random.default_rng(3)
    senones = np.arange(count) % SENONES
    frames = np.empty((count, STREAMS, LENGTH))
    for at, senone in enumerate(senones):
        for stream in range(STREAMS):
            weights = np.exp(by.log_weights[senone, stream])
            one = (by.codebook[senone], stream, chance.choice(len(weights), p=weights))
            frames[at, stream] = chance.normal(by.means[one], np.sqrt(by.variances[one]))
    return Spoken(frames, senones)


def test_a_known_map_of_the_means_is_found_again() -> None:
    found = estimate(model(), spoken(known_map().apply(model()), 30_000), prior=0.0, rounds=8)
    assert found.matrix == pytest.approx(known_map().matrix, abs=0.03)
    assert found.offset == pytest.approx(known_map().offset, abs=0.08)


def test_with_one_gaussian_each_it_is_a_weighted_regression() -> None:
    plain = model(densities=1)
    heard = spoken(known_map().apply(plain), 400)
    found = estimate(plain, heard, prior=0.0, rounds=1)
    books = plain.codebook[heard.senones]
    for stream in range(STREAMS):
        regressors = np.column_stack([plain.means[books, stream, 0], np.ones(len(books))])
        for row in range(LENGTH):
            weights = 1 / plain.variances[books, stream, 0, row]
            fitted: Floats = WLS(heard.frames[:, stream, row], regressors, weights).fit().params
            assert found.matrix[stream, row] == pytest.approx(fitted[:-1])
            assert found.offset[stream, row] == pytest.approx(fitted[-1])


def test_the_likelihood_never_falls_from_round_to_round() -> None:
    plain = model()
    heard = spoken(known_map().apply(plain), 2_000)
    likelihoods = [
        log_likelihood(estimate(plain, heard, prior=0.0, rounds=rounds).apply(plain), heard)
        for rounds in range(6)
    ]
    assert likelihoods == sorted(likelihoods)
    assert likelihoods[-1] > likelihoods[0] + 1


def test_without_speech_nothing_moves() -> None:
    plain = model()
    nothing = Spoken(np.empty((0, STREAMS, LENGTH)), np.empty(0, dtype=np.intp))
    found = estimate(plain, nothing)
    assert found.matrix == pytest.approx(unmoved(plain).matrix)
    assert found.offset == pytest.approx(0, abs=1e-9)


def test_a_strong_prior_holds_the_model_where_it_is() -> None:
    plain = model()
    found = estimate(plain, spoken(known_map().apply(plain), 300), prior=1e9)
    assert found.matrix == pytest.approx(unmoved(plain).matrix, abs=1e-4)
    assert found.offset == pytest.approx(0, abs=1e-4)
