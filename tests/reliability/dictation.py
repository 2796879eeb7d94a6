"""A process that records a visit, to be killed: it reads orders and forks one child for each.

The dialogue, the live loop, the clock and the store are the real ones, built by the house; only the
words are scripted, and each block of sound is an utterance, so that a visit runs a hundred times
faster than she speaks. A child writes what it announces to standard output at that moment, one line
for one thing, each in a single write.
"""

import json
import os
import random
import sys
import time
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from hashlib import sha256
from pathlib import Path
from types import TracebackType
from typing import Self

import numpy as np

ROOT = Path(__file__).parents[2]
sys.path.insert(0, str(ROOT))

from tests.reliability.faults import KINDS, install  # noqa: E402
from voicelog.audio.base import RATE_HZ, Block, Samples, Utterance  # noqa: E402
from voicelog.audio.endpointer import (  # noqa: E402
    Endpointer,
    SpeechContinued,
    SpeechEnded,
    SpeechEvent,
    SpeechStarted,
)
from voicelog.clock import WallClock, not_before  # noqa: E402
from voicelog.grammar.hypothesis import HeardWord, Hypothesis, Reading  # noqa: E402
from voicelog.grammar.interpret import Bars  # noqa: E402
from voicelog.listening.edges import Edges  # noqa: E402
from voicelog.listening.happenings import Happening  # noqa: E402
from voicelog.listening.hearing import Hearing  # noqa: E402
from voicelog.listening.live import Live  # noqa: E402
from voicelog.recognisers.scripted import ScriptedRecogniser  # noqa: E402
from voicelog.records.entry import Entry  # noqa: E402
from voicelog.settings.loading import load_settings  # noqa: E402
from voicelog.speech.printed import PrintedVoice  # noqa: E402
from voicelog.store.base import Clip, Store  # noqa: E402
from voicelog.visits import newest_moment, open_visit, state_of  # noqa: E402
from voicelog.wiring import House  # noqa: E402

CLIENT = "C-014"
SAID = (
    "left ankle dorsiflexion baseline {} degrees pain {}",
    "right shoulder internal rotation gap trial pain {}",
    "gap trial pain {}",
    "retest {} degrees pain {}",
    "correction pain {}",
    "drill banded heel glide three sets of eight",
    "negative",
    "disregard",
)
NUMBERS = ("one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten")


@dataclass(frozen=True, slots=True)
class Order:
    """One visit to record: where, by which chance, and what goes wrong after how many writes.

    `at` is the machine's time at the start as ISO 8601; with `clock` it is set back now and then.
    `steps` ends it after so many utterances; 0 goes on until killed.
    """

    data: str
    seed: int
    at: str
    fault: str = ""
    after: int = 0
    from_byte: int = 0
    clock: bool = False
    steps: int = 0


class EachBlock(Endpointer):
    """Takes each block for one utterance."""

    def feed(self, block: Block) -> list[SpeechEvent]:
        """Begun, heard and ended at once."""
        start_s, sound = block.start_s, block.samples
        whole = Utterance(sound, start_s, start_s + block.duration_s)
        return [SpeechStarted(start_s), SpeechContinued(sound), SpeechEnded(whole)]


class Room:
    """Noise, a block at a time, without end or for so many blocks."""

    def __init__(self, chance: random.Random, blocks: int) -> None:
        self._noise = np.random.default_rng(chance.getrandbits(32))
        self._blocks = blocks

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        pass

    def __iter__(self) -> Iterator[Block]:
        number = 0
        while not self._blocks or number < self._blocks:
            samples = self._noise.normal(0, 2000, RATE_HZ // 2).astype(np.int16)
            yield Block(samples, number / 2)
            number += 1

    def drop_unread(self) -> None:
        """Nothing waits."""


class Announcing:
    """Stands before the real store: says what it has taken, and lets the fault in in time."""

    def __init__(self, store: Store, order: Order, log: Path) -> None:
        self._store = store
        self._order = order
        self._log = log
        self._writes = 0

    def __getattr__(self, name: str) -> object:
        return getattr(self._store, name)

    def append(self, entry: Entry, clips: Sequence[Clip] = ()) -> None:
        """Hand it on, then say that it came back."""
        self._writes += 1
        if self._writes == self._order.after and self._order.fault in KINDS:
            size = self._log.stat().st_size if self._log.exists() else 0
            install(KINDS[self._order.fault], size + self._order.from_byte)
        began_s = time.perf_counter()
        self._store.append(entry, clips)
        took_ms = f"{1000 * (time.perf_counter() - began_s):.2f}"
        size = self._log.stat().st_size if self._log.exists() else 0
        tell("kept", *name_of(entry), entry.status, mark_of(entry), size, took_ms)


def tell(*words: object) -> None:
    """One line in one write, so that a kill leaves it whole or not there."""
    os.write(1, (" ".join(map(str, words)) + "\n").encode())


def name_of(entry: Entry) -> tuple[str, int]:
    """Which version of which entry."""
    return entry.entry_id, entry.version


def mark_of(entry: Entry) -> str:
    """A short mark of its content and sound-independent evidence."""
    return sha256(entry.content.model_dump_json().encode()).hexdigest()[:16]


def house(data: str) -> House:
    """The house of the settings in force, with its data in that folder."""
    return House(load_settings().model_copy(update={"data_folder": Path(data)}))


def words_of(chance: random.Random) -> Callable[[Samples], Hypothesis]:
    """Something she says: more than half the time a yes."""

    def heard(_: Samples) -> Hypothesis:
        text = "affirm" if chance.random() < 0.55 else chance.choice(SAID)
        text = text.format(chance.choice(NUMBERS), chance.choice(NUMBERS))
        words = tuple(
            HeardWord(word, 100 * n, 100 * n + 100, 0.99) for n, word in enumerate(text.split())
        )
        return Hypothesis((Reading(words),), 0.99, "scripted", "script", 0.0)

    return heard


def wall(order: Order, chance: random.Random) -> Callable[[], datetime]:
    """The machine's time, set back by up to a month now and then."""
    began, base = time.monotonic(), datetime.fromisoformat(order.at)

    def now() -> datetime:
        nonlocal base
        if order.clock and chance.random() < 0.02:
            base -= timedelta(seconds=chance.uniform(0, 30 * 86_400))
        return base + timedelta(seconds=time.monotonic() - began)

    return now


def record(built: House, order: Order) -> None:
    """Take the visit up or begin it, and dictate."""
    chance = random.Random(order.seed)
    store = built.store()
    clock = WallClock(wall(order, chance))
    opened = open_visit(store, CLIENT, clock(0))
    state = state_of(store, opened.visit, built.setting)
    tell("visit", opened.visit.visit_id, "again" if opened.taken_up else "new")
    log = Path(f"{built.settings.store_file}-wal")
    edges = Edges(
        hearing=Hearing(ScriptedRecogniser(words_of(chance)), built.phrases, Bars()),
        store=Announcing(store, order, log),  # type: ignore[arg-type]
        voice=PrintedVoice(lambda text: tell("said") if text.startswith("Saved") else None),
        clock=not_before(clock, newest_moment(opened.visit, state)),
        watch=_announce,
        prior=built.prior,
        remark=built.remark,
    )
    Live(state, edges, EachBlock()).run(Room(chance, order.steps))
    store.close()


def _announce(happening: Happening) -> None:
    entry = happening.entry
    if happening.kind in ("saved", "trouble") and entry is not None:
        tell(happening.kind, *name_of(entry), entry.status, mark_of(entry))


def main() -> None:
    """Serve orders, one JSON object a line, until there are no more."""
    first = house(".")
    _ = first.phrases, first.plausible, first.comparer
    for line in sys.stdin:
        order = Order(**json.loads(line))
        child = os.fork()
        if child == 0:
            built = house(order.data)
            built.__dict__.update(
                {k: v for k, v in first.__dict__.items() if k not in ("settings", "vosk_folder")}
            )
            record(built, order)
            os._exit(0)
        tell("child", child)
        _, how = os.waitpid(child, 0)
        tell("end", how)


if __name__ == "__main__":
    main()
