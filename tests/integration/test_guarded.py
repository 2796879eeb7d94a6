"""A speech engine in another process: it hangs, it dies, it refuses, and a new one takes over."""

import os
import signal
import time
from collections.abc import Iterator
from functools import partial

import numpy as np
import pytest

from voicelog.audio.base import RATE_HZ, Samples
from voicelog.errors import RecogniserError
from voicelog.grammar.hypothesis import HeardWord, Hypothesis, Reading
from voicelog.recognisers.base import Recogniser
from voicelog.recognisers.guarded import GuardedRecogniser, Patience
from voicelog.recognisers.scripted import ScriptedRecogniser

QUICK = Patience(start_s=60, answer_s=0.5, each_second_s=0.1)
WELL, HANG, DIE, FAIL, BREAK = 1, 2, 3, 4, 5
SAID = "left ankle pain six of C-014"


def _by_level(samples: Samples) -> Hypothesis:
    """An engine whose health depends on how loud the sound is."""
    level = int(samples.max(initial=0))
    if level == HANG:
        time.sleep(3600)
    if level == DIE:
        os.kill(os.getpid(), signal.SIGABRT)
    if level == FAIL:
        raise RecogniserError("The engine will not", kept="Nothing", do="Try another")
    if level == BREAK:
        raise KeyError(SAID)
    word = HeardWord(f"{len(samples)}", 0, 100, 0.9)
    return Hypothesis((Reading((word,)),), 0.9, "scripted", "script", 0.0)


def _make() -> Recogniser:
    return ScriptedRecogniser(_by_level, note="as heard")


def _cannot() -> Recogniser:
    raise RecogniserError("There is no model", do="Install one")


@pytest.fixture(scope="module")
def engine() -> Iterator[GuardedRecogniser]:
    made = GuardedRecogniser(QUICK)
    made.load(_make)
    yield made
    made.close()


def hear(engine: GuardedRecogniser, level: int, blocks: int = 3) -> str:
    engine.begin("any")
    for _ in range(blocks):
        engine.hear(np.full(480, level, np.int16))
    return engine.end().text


def test_what_goes_in_comes_out_as_from_the_engine_itself(engine: GuardedRecogniser) -> None:
    assert hear(engine, WELL) == "1440"
    assert engine.transcribe(np.zeros(480, np.int16)) == "as heard"
    assert (engine.engine, engine.model) == ("scripted", "script")


def test_an_engine_that_hangs_is_replaced_and_the_next_utterance_is_heard(
    engine: GuardedRecogniser,
) -> None:
    with pytest.raises(RecogniserError, match="has not answered") as caught:
        hear(engine, HANG)
    assert "Say it again" in str(caught.value)
    assert hear(engine, WELL) == "1440"


@pytest.mark.skipif(os.name != "posix", reason="an abort is shown in a window elsewhere")
def test_an_engine_that_crashes_takes_nothing_with_it(engine: GuardedRecogniser) -> None:
    with pytest.raises(RecogniserError, match="has stopped by itself"):
        hear(engine, DIE)
    assert hear(engine, WELL) == "1440"


def test_an_engine_that_breaks_down_says_where_and_not_what_was_said(
    capfd: pytest.CaptureFixture[str],
) -> None:
    engine = GuardedRecogniser(QUICK)  # one that writes to where this test looks
    engine.load(_make)
    with pytest.raises(RecogniserError, match="has stopped by itself"):
        hear(engine, BREAK)
    told = capfd.readouterr().err
    assert "KeyError\n" in told
    assert "test_guarded.py, line" in told
    assert not any(word in told for word in SAID.split())
    assert hear(engine, WELL) == "1440"
    engine.close()


def test_an_engine_that_fails_says_why_and_stays(engine: GuardedRecogniser) -> None:
    with pytest.raises(RecogniserError) as caught:
        hear(engine, FAIL)
    assert (caught.value.what, caught.value.do) == ("The engine will not", "Try another")
    assert hear(engine, WELL) == "1440"


def test_an_engine_that_reads_no_sound_any_more_holds_nobody_up(engine: GuardedRecogniser) -> None:
    hear(engine, WELL)
    engine.begin("any")
    began_s = time.monotonic()
    sound = np.full(RATE_HZ, HANG, np.int16)
    for _ in range(60):  # more than fits between two processes
        engine.hear(sound)
    assert time.monotonic() - began_s < 5
    with pytest.raises(RecogniserError, match="has not answered"):
        engine.end()
    assert hear(engine, WELL) == "1440"


def test_what_keeps_an_engine_from_being_made_is_said_in_its_own_words() -> None:
    engine = GuardedRecogniser(QUICK)
    with pytest.raises(RecogniserError, match="There is no model"):
        engine.load(_cannot)


def test_an_engine_that_is_closed_gives_errors_and_no_process() -> None:
    engine = GuardedRecogniser(QUICK)
    engine.load(partial(ScriptedRecogniser, ()))
    engine.close()
    with pytest.raises(RecogniserError, match="closed already"):
        hear(engine, WELL)
    engine.close()
