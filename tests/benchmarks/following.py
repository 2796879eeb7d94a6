"""Sound followed as it comes from the microphone, and how late its meaning is."""

import time
from collections.abc import Iterator
from dataclasses import dataclass

from voicelog.audio.base import RATE_HZ, Block, Samples, Utterance
from voicelog.audio.endpointer import (
    Endpointer,
    SpeechContinued,
    SpeechEnded,
    SpeechEvent,
    SpeechPaused,
    SpeechStarted,
)
from voicelog.grammar.hypothesis import Expect, Hypothesis
from voicelog.grammar.interpret import Interpretation
from voicelog.grammar.posterior import Prior
from voicelog.listening.hearing import Hearing

BLOCK = RATE_HZ * 3 // 100


@dataclass(frozen=True, slots=True)
class Followed:
    """One utterance. `late_s`: from the moment that it ended to its meaning, had it been spoken
    live; work that was not done yet when more sound came makes it later."""

    utterance: Utterance
    meant: Interpretation
    hypothesis: Hypothesis
    late_s: float


def follow(samples: Samples, hearing: Hearing, expect: Expect, prior: Prior) -> Iterator[Followed]:
    """Every utterance in the sound, fed block by block. The sound is not waited for: a block counts
    as come when its last sample is spoken, and is worked on when all before it is done."""
    endpointer = Endpointer()
    done_s = 0.0
    blocks = [Block(samples[i : i + BLOCK], i / RATE_HZ) for i in range(0, len(samples), BLOCK)]
    for block in [*blocks, None]:
        events = endpointer.flush() if block is None else endpointer.feed(block)
        came_s = len(samples) / RATE_HZ if block is None else block.start_s + BLOCK / RATE_HZ
        for event in events:
            started = time.perf_counter()
            heard = _hand_on(event, hearing, expect, prior)
            done_s = max(done_s, came_s) + time.perf_counter() - started
            if heard is not None and isinstance(event, SpeechEnded):
                yield Followed(event.utterance, *heard, done_s - came_s)


def _hand_on(
    event: SpeechEvent, hearing: Hearing, expect: Expect, prior: Prior
) -> tuple[Interpretation, Hypothesis] | None:
    match event:
        case SpeechStarted():
            hearing.begin(expect)
        case SpeechContinued(more):
            hearing.more(more)
        case SpeechPaused():
            hearing.pause()
        case SpeechEnded(utterance):
            return hearing.end(utterance, prior)
    return None
