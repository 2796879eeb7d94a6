"""The network that keeps the near voice: its parts against published equations, the whole on a
voice that it never learnt from."""

from pathlib import Path
from typing import Any

import numpy as np
import pytest
import soundfile
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.streamed import noise, through
from voicelog.audio import near_voice
from voicelog.audio.bands import BANDS
from voicelog.audio.base import RATE_HZ, Samples
from voicelog.audio.level import level_dbfs
from voicelog.audio.near_voice import MOST_DB, NearVoice

SIZE = 4
FIXTURES = Path(__file__).parents[2] / "audio_fixtures"


def recorded(name: tuple[str, str]) -> Samples:
    """The words of a recording of `audio_fixtures`, without the quiet around them."""
    voice, sentence = name
    samples, _ = soundfile.read(FIXTURES / voice / f"{sentence}.flac", dtype="int16")
    quiet = round(0.4 * RATE_HZ)
    return np.asarray(samples[quiet:-quiet], np.int16)


def weights(chance: np.random.Generator) -> dict[str, Any]:
    shapes = {"into.weight": (SIZE, 2 * BANDS), "into.bias": (SIZE,)}
    shapes |= {"out.weight": (BANDS, SIZE), "out.bias": (BANDS,)}
    for layer in range(2):
        for kind in ("ih", "hh"):
            shapes[f"units.weight_{kind}_l{layer}"] = (3 * SIZE, SIZE)
            shapes[f"units.bias_{kind}_l{layer}"] = (3 * SIZE,)
    return {name: chance.normal(0, 0.5, shape).astype(np.float32) for name, shape in shapes.items()}


def test_bands_are_turned_down_further_than_the_network_says(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(
        near_voice.Network, "gains_db", lambda self, levels: np.full_like(levels, -16)
    )
    sound = noise(2, 3000)
    down_db = level_dbfs(sound[RATE_HZ:]) - level_dbfs(through(NearVoice(), sound, [480])[RATE_HZ:])
    assert down_db == pytest.approx(near_voice.FURTHER * 16, abs=0.1)
    assert near_voice.FURTHER > 1


def test_a_unit_follows_the_published_equations() -> None:
    # Cho and others 2014, arXiv 1406.1078, equations 5 to 8, gates in torch's order r, z, n; from
    # memory
    chance = np.random.default_rng(2)
    given_weights = weights(chance)
    heard = chance.normal(0, 1, (5, SIZE)).astype(np.float32)
    found = near_voice._Layer(given_weights, 1).follow(heard)
    w, u = (
        given_weights[f"units.weight_{kind}_l1"].reshape(3, SIZE, SIZE) for kind in ("ih", "hh")
    )
    b, c = (given_weights[f"units.bias_{kind}_l1"].reshape(3, SIZE) for kind in ("ih", "hh"))
    state = np.zeros(SIZE)
    for x, got in zip(heard, found, strict=True):
        r = 1 / (1 + np.exp(-(w[0] @ x + b[0] + u[0] @ state + c[0])))
        z = 1 / (1 + np.exp(-(w[1] @ x + b[1] + u[1] @ state + c[1])))
        n = np.tanh(w[2] @ x + b[2] + r * (u[2] @ state + c[2]))
        state = (1 - z) * n + z * state
        np.testing.assert_allclose(got, state, atol=1e-5)


def test_it_hears_the_same_in_pieces_as_at_once() -> None:
    chance = np.random.default_rng(4)
    given_weights, levels = weights(chance), chance.normal(-50, 10, (40, BANDS)).astype(np.float32)
    whole, parts = near_voice.Network(given_weights), near_voice.Network(given_weights)
    pieces = [parts.gains_db(levels[n : n + 3]) for n in range(0, 40, 3)]
    np.testing.assert_allclose(whole.gains_db(levels), np.concatenate(pieces), atol=1e-3)
    assert np.all((np.concatenate(pieces) >= -MOST_DB) & (np.concatenate(pieces) <= 0))


@settings(max_examples=20, deadline=None)
@given(st.lists(st.integers(1, 3000), min_size=1, max_size=5))
def test_every_sample_comes_back_whatever_the_pieces(sizes: list[int]) -> None:
    sound = noise(0.7, 1000)
    found = through(NearVoice(), sound, sizes)
    assert len(found) == len(sound)
    assert np.abs(found.astype(int) - through(NearVoice(), sound, [480])).max() <= 1


def test_sound_that_is_left_alone_comes_back_as_it_was(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(near_voice.Network, "gains_db", lambda _, levels: np.zeros_like(levels))
    sound = noise(0.5, 3000)
    assert np.abs(through(NearVoice(), sound, [700]).astype(int) - sound).max() <= 1


def test_a_voice_is_kept_and_others_who_talk_behind_it_are_turned_down() -> None:
    # A voice of the recordings that no weight was learnt from, and others 20 dB below.
    near, others = (recorded(name) for name in (("slt", "r04"), ("rms", "r05")))
    behind = np.resize(others[::-1], len(near) + 3 * RATE_HZ) // 10
    sound = np.asarray(behind, np.int16)
    sound[2 * RATE_HZ : 2 * RATE_HZ + len(near)] += near
    found = through(NearVoice(), sound, [480])
    voice = slice(2 * RATE_HZ, 2 * RATE_HZ + len(near))
    alone = slice(voice.stop + RATE_HZ // 4, None)
    assert level_dbfs(found[voice]) == pytest.approx(level_dbfs(near), abs=1.5)
    assert level_dbfs(found[alone]) < level_dbfs(sound[alone]) - 6


def test_digital_silence_stays_silent() -> None:
    assert not through(NearVoice(), np.zeros(RATE_HZ, np.int16), [480]).any()
