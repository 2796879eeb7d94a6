"""The endpointer on real synthetic speech, where the true start and end are known."""

import tracemalloc
from itertools import pairwise

import numpy as np
import pytest
import soxr
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.rendered import rendered
from voicelog.audio.base import RATE_HZ, Block, Samples, Utterance
from voicelog.audio.endpointer import (
    Endpointer,
    SpeechContinued,
    SpeechEnded,
    SpeechEvent,
    SpeechPaused,
    SpeechStarted,
)
from voicelog.audio.endpointing import Endpointing
from voicelog.audio.level import level_dbfs
from voicelog.audio.quiet_room import QuietRoom

DICTATIONS = (
    "left ankle, dorsiflexion, gap trial, sixteen degrees, pain three",
    "affirm",
    "six",
    "right shoulder internal rotation baseline pain four",
    "disregard",
)


def speech(text: str) -> Samples:
    """The words alone, cut to within 35 dB of their loudest 10 ms, at -26 dB."""
    sound, rate_hz = rendered(text, voice="en-us+f2", rate_wpm=175)
    sound = soxr.resample(sound, rate_hz, RATE_HZ).astype(np.float64)
    steps = sound[: len(sound) // 160 * 160].reshape(-1, 160)
    levels = np.mean(steps**2, axis=1)
    loud = np.flatnonzero(levels > levels.max() * 10**-3.5)
    words = sound[loud[0] * 160 : (loud[-1] + 1) * 160]
    return np.asarray(words * 1640 / np.sqrt(np.mean(words**2)), np.int16)


def silence(seconds: float) -> Samples:
    return np.zeros(round(seconds * RATE_HZ), np.int16)


def in_noise(sound: Samples, below_db: float) -> Samples:
    """White noise added, so many decibels below the speech."""
    noise = np.random.default_rng(1).normal(0, 1640 * 10 ** (-below_db / 20), len(sound))
    return np.asarray(np.clip(sound + noise, -32_768, 32_767), np.int16)


def events(endpointer: Endpointer, sound: Samples, sizes: list[int]) -> list[SpeechEvent]:
    found: list[SpeechEvent] = []
    at = turn = 0
    while at < len(sound):
        piece = sound[at : at + sizes[turn % len(sizes)]]
        found += endpointer.feed(Block(piece, at / RATE_HZ))
        at, turn = at + len(piece), turn + 1
    return found


def utterances(sound: Samples, endpointing: Endpointing | None = None) -> list[Utterance]:
    endpointer = Endpointer(endpointing)
    found = events(endpointer, sound, [480]) + endpointer.flush()
    return [event.utterance for event in found if isinstance(event, SpeechEnded)]


@pytest.mark.parametrize("below_db", [200, 30, 20], ids=["silence", "30 dB", "20 dB"])
def test_each_dictation_is_one_utterance_with_silence_on_both_sides(below_db: float) -> None:
    parts, truth, at_s = [silence(2)], [], 2.0
    for text in DICTATIONS:
        words = speech(text)
        truth.append((at_s, at_s + len(words) / RATE_HZ))
        parts += [words, silence(1.5)]
        at_s += len(words) / RATE_HZ + 1.5
    found = utterances(in_noise(np.concatenate(parts), below_db))
    assert len(found) == len(truth)
    for utterance, (start_s, end_s) in zip(found, truth, strict=True):
        assert 0.15 < start_s - utterance.start_s < 0.45
        assert 0.2 < utterance.end_s - end_s < 0.7
        assert utterance.duration_s == pytest.approx(utterance.end_s - utterance.start_s)
        assert not utterance.cut


@pytest.mark.parametrize(("pause_s", "count"), [(0.1, 1), (0.35, 1), (0.9, 2)])
def test_a_breath_does_not_end_a_dictation_but_a_pause_does(pause_s: float, count: int) -> None:
    sound = [silence(1), speech("gap trial"), silence(pause_s), speech("pain three"), silence(1)]
    assert len(utterances(np.concatenate(sound))) == count


def test_the_patience_can_be_set() -> None:
    parts = [silence(1), speech("gap trial"), silence(0.9), speech("pain three"), silence(1.5)]
    assert len(utterances(np.concatenate(parts), Endpointing(end_silence_s=1.2))) == 1


def test_a_constant_offset_of_the_sound_card_hides_no_voice() -> None:
    sound = in_noise(np.concatenate([silence(1), speech("gap trial"), silence(1)]), 50)
    (wanted,) = utterances(sound)
    (found,) = utterances(sound + np.int16(3000))
    assert (found.start_s, found.end_s) == (wanted.start_s, wanted.end_s)


def test_noise_alone_is_no_speech() -> None:
    assert utterances(in_noise(silence(20), 20)) == []


def test_a_file_that_starts_and_ends_in_the_middle_of_speech_is_heard() -> None:
    words = speech(DICTATIONS[0])
    found = utterances(words)
    assert [u.cut for u in found] == [True]
    assert found[0].start_s == 0
    assert found[0].end_s == pytest.approx(len(words) / RATE_HZ)
    assert found[0].cleaned is None


def test_endless_speech_is_cut_and_goes_on_without_a_hole() -> None:
    sound = np.concatenate([silence(1), *[speech(DICTATIONS[0])] * 8])
    found = utterances(sound, Endpointing(longest_s=6))
    assert all(u.cut for u in found)
    assert max(u.duration_s for u in found) <= 6
    holes_s = [later.start_s - earlier.end_s for earlier, later in pairwise(found)]
    assert len(holes_s) >= 3
    assert holes_s == pytest.approx([0] * len(holes_s), abs=0.001)


def test_an_engine_that_listens_along_gets_every_sample_of_the_utterance() -> None:
    sound = np.concatenate([silence(1), speech(DICTATIONS[3]), silence(1)])
    found = events(Endpointer(), sound, [480])
    assert isinstance(found[0], SpeechStarted)
    pieces = [event.samples for event in found if isinstance(event, SpeechContinued)]
    ended = found[-1]
    assert isinstance(ended, SpeechEnded)
    np.testing.assert_array_equal(np.concatenate(pieces), ended.utterance.for_engine)
    first = round(ended.utterance.start_s * RATE_HZ)
    same = sound[first : first + len(ended.utterance.samples)]
    np.testing.assert_array_equal(ended.utterance.samples, same)


SHORT = np.concatenate([silence(0.7), speech("affirm"), silence(0.8), speech("six"), silence(0.8)])


@settings(max_examples=20, deadline=None)
@given(st.lists(st.integers(1, 3000), min_size=1, max_size=5))
def test_the_length_of_the_blocks_makes_no_difference(sizes: list[int]) -> None:
    expected = [(u.start_s, u.end_s) for u in utterances(SHORT)]
    found = events(Endpointer(), SHORT, sizes)
    ended = [e.utterance for e in found if isinstance(e, SpeechEnded)]
    assert [(u.start_s, u.end_s) for u in ended] == [pytest.approx(pair) for pair in expected]


def test_a_reset_forgets_what_was_in_hand() -> None:
    endpointer = Endpointer()
    events(endpointer, np.concatenate([silence(1), speech(DICTATIONS[0])[:16_000]]), [480])
    assert endpointer.speaking
    endpointer.reset()
    assert not endpointer.speaking
    assert endpointer.flush() == []
    assert events(endpointer, silence(1), [480]) == []


def test_memory_stays_flat() -> None:
    endpointer = Endpointer()
    minute = np.concatenate([*[speech(DICTATIONS[0]), silence(1)] * 12])
    events(endpointer, minute, [480])
    tracemalloc.start()
    events(endpointer, minute, [480])
    before, _ = tracemalloc.get_traced_memory()
    for _ in range(3):
        events(endpointer, minute, [480])
    after, _ = tracemalloc.get_traced_memory()
    tracemalloc.stop()
    assert after - before < 100_000


def test_each_silence_is_told_once_before_the_utterance_ends() -> None:
    word = speech("four")
    sound = np.concatenate([silence(1), word, silence(0.3), word, silence(2)])
    found = [e for e in events(Endpointer(), sound, [480]) if not isinstance(e, SpeechContinued)]
    assert [type(event) for event in found] == [
        SpeechStarted, SpeechPaused, SpeechPaused, SpeechEnded,
    ]  # fmt: skip


def others_talking(seconds: float, below_db: float, people: int = 8) -> Samples:
    """So many people talking, hardly stopping, so far below one."""
    chance = np.random.default_rng(3)
    one = np.concatenate([p for t in DICTATIONS for p in (speech(t), silence(0.1))]).astype(float)
    streams = [np.roll(one, int(chance.integers(len(one)))) for _ in range(people)]
    together = np.resize(np.sum(streams, axis=0), round(seconds * RATE_HZ))
    level = np.sqrt(np.mean(one**2) / np.mean(together**2)) * 10 ** (-below_db / 20)
    return np.asarray(np.rint(together * level), np.int16)


@pytest.mark.parametrize("people", [3, 4, 8])
def test_others_who_talk_from_the_first_moment_on_swallow_nothing(people: int) -> None:
    near, at = speech(DICTATIONS[0]), 3 * RATE_HZ
    sound = others_talking(10, 8, people)[RATE_HZ:].copy()
    sound[at : at + len(near)] += near
    found = utterances(sound)
    assert all(utterance.cleaned is not None for utterance in found)
    heard = found[-1]
    assert heard.start_s == pytest.approx(3 - Endpointing().pre_roll_s, abs=0.15)
    assert heard.end_s == pytest.approx(3 + len(near) / RATE_HZ + 0.7, abs=0.3)


def test_where_others_talk_one_utterance_is_found_and_an_engine_hears_less_of_them() -> None:
    before, after = speech("right shoulder internal rotation"), speech("pain four")
    words = np.concatenate([before, silence(0.45), after])
    room = others_talking(12, 20)
    sound = room.copy()
    sound[6 * RATE_HZ : 6 * RATE_HZ + len(words)] += words
    found = [u for u in utterances(sound) if u.start_s > 2]
    assert len(found) == 1
    assert found[0].start_s == pytest.approx(6, abs=0.7)
    assert found[0].end_s == pytest.approx(6 + len(words) / RATE_HZ, abs=1)
    first = round(found[0].start_s * RATE_HZ)
    np.testing.assert_array_equal(found[0].samples, sound[first : first + len(found[0].samples)])
    pause = 6 * RATE_HZ - first + len(before) + round(0.15 * RATE_HZ)
    heard = found[0].for_engine[pause : pause + round(0.15 * RATE_HZ)].astype(float)
    others = sound[first + pause : first + pause + len(heard)].astype(float)
    quiet = QuietRoom(level_dbfs(before)).behind(np.zeros(len(heard), np.int16))
    assert np.abs(others).mean() > 3 * np.abs(quiet).mean()
    assert np.abs(heard).mean() < 2 * np.abs(quiet).mean()


def test_a_nearer_voice_starts_an_utterance_of_its_own() -> None:
    far, near = speech(DICTATIONS[3]) // 8, speech(DICTATIONS[0])  # 18 dB softer
    sound = np.concatenate([silence(2), far, near, silence(1)])
    found = events(Endpointer(), in_noise(sound, 45), [480])
    assert [type(e) for e in found if isinstance(e, SpeechStarted | SpeechEnded)] == [
        SpeechStarted, SpeechStarted, SpeechEnded,
    ]  # fmt: skip
    ended = found[-1]
    assert isinstance(ended, SpeechEnded)
    near_s = 2 + len(far) / RATE_HZ
    assert near_s - 0.5 < ended.utterance.start_s < near_s
    began_again = max(n for n, event in enumerate(found) if isinstance(event, SpeechStarted))
    pieces = [e.samples for e in found[began_again:] if isinstance(e, SpeechContinued)]
    np.testing.assert_array_equal(np.concatenate(pieces), ended.utterance.for_engine)


@pytest.mark.parametrize(("below_db", "starts"), [(45.0, 1), (25.0, 2)], ids=["quiet", "loud"])
def test_in_a_loud_room_a_nearer_voice_need_not_stand_out_as_far(
    below_db: float, starts: int
) -> None:
    louder_by_db = Endpointing().rises_db  # 1.5 dB less above the loudest moment of the far one
    near = speech(DICTATIONS[0])
    far = (speech(DICTATIONS[3]) * 10 ** (-louder_by_db / 20)).astype(np.int16)
    sound = np.concatenate([silence(2), far, near, silence(1)])
    found = events(Endpointer(), in_noise(sound, below_db), [480])
    assert sum(isinstance(event, SpeechStarted) for event in found) == starts


@pytest.mark.parametrize("below_db", [45.0, 15.0])
def test_a_sentence_that_grows_louder_is_not_cut_in_two(below_db: float) -> None:
    words = speech(DICTATIONS[0]).astype(float) * np.geomspace(0.4, 1, len(speech(DICTATIONS[0])))
    sound = np.concatenate([silence(2), words.astype(np.int16), silence(1)])
    found = events(Endpointer(), in_noise(sound, below_db), [480])
    assert sum(isinstance(event, SpeechStarted) for event in found) == 1
