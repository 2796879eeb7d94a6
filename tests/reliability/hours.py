"""Listens to a day of work faster than it passes, and prints memory, delay and what was lost.

    python tests/reliability/hours.py [--hours 8] [--engine scripted|pocketsphinx] [--within 40]

The sound goes through the real microphone, endpointer, live loop, dialogue and store; only the card
(`sound_day`) is pretended, with devices that go and come back every hour. With the scripted engine
the words are given by the length of an utterance; pocketsphinx decodes them in its own process.
With `--within` the day ends after so many minutes, however much of it has passed.
Exits with 1 when memory grew by 5 MB or more after the first half hour, when sound went missing
unreported, when delay and computing grew by half (in an hour or more; the delay alone also grows
with what else the machine does), or when a mishap was not survived.
"""

import argparse
import multiprocessing
import statistics
import sys
import tempfile
import time
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from functools import partial
from pathlib import Path
from types import TracebackType
from typing import Self

import numpy as np

ROOT = Path(__file__).parents[2]
sys.path.insert(0, str(ROOT))

from tests.reliability.measured import Day  # noqa: E402
from tests.reliability.sound_day import HOUR_S, MISHAPS, Card, minute  # noqa: E402
from voicelog.audio.base import RATE_HZ, Block, Samples, Source  # noqa: E402
from voicelog.audio.devices import look_again  # noqa: E402
from voicelog.audio.endpointer import Endpointer  # noqa: E402
from voicelog.audio.microphone import Microphone  # noqa: E402
from voicelog.audio.returning import Returning, Waiting  # noqa: E402
from voicelog.dialogue.state import State  # noqa: E402
from voicelog.grammar.hypothesis import HeardWord, Hypothesis, Reading  # noqa: E402
from voicelog.grammar.interpret import Bars  # noqa: E402
from voicelog.listening.edges import Edges  # noqa: E402
from voicelog.listening.hearing import Hearing  # noqa: E402
from voicelog.listening.live import Live  # noqa: E402
from voicelog.recognisers.base import Recogniser  # noqa: E402
from voicelog.recognisers.guarded import GuardedRecogniser, Patience  # noqa: E402
from voicelog.recognisers.scripted import ScriptedRecogniser  # noqa: E402
from voicelog.settings.fields import Settings  # noqa: E402
from voicelog.speech.printed import PrintedVoice  # noqa: E402
from voicelog.store.base import Store  # noqa: E402
from voicelog.visits import open_visit, state_of  # noqa: E402
from voicelog.wiring import House  # noqa: E402

NINE = datetime(2026, 3, 2, 9, 0, tzinfo=UTC)
MOST_GROWTH_MB = 5.0
_LEAVING = {mishap.kind for mishap in MISHAPS if mishap.away_s}
SAME_S = 1.0
"""How far the sound heard and the sound reported as missing may be from the whole, a mishap."""
MOST_WAIT_S = 600.0
VISIT_S = HOUR_S
"""A visit is ended after so long, as in a day of clients."""


def by_length(samples: Samples) -> Hypothesis:
    """A yes is short, a dictation longer, talk longest."""
    length_s = len(samples) / RATE_HZ
    text = "left ankle dorsiflexion baseline twelve degrees pain six"
    if length_s < 2.6:
        text = "affirm"
    elif length_s > 6.5:
        text = ""
    words = tuple(HeardWord(w, 100 * n, 100 * n + 90, 0.99) for n, w in enumerate(text.split()))
    readings = (Reading(words),) if words else ()
    return Hypothesis(readings, 0.99 if words else 0.0, "scripted", "script", 0.0)


def scripted() -> Recogniser:
    """An engine that takes no time."""
    return ScriptedRecogniser(by_length)


class Open:
    """A source that stays open from one visit to the next, until the day is over."""

    def __init__(self, source: Source, card: Card) -> None:
        self._blocks = iter(source)
        self._card = card

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
        for block in self._blocks:
            if block.gone is not None and self._card.played_s >= self._card.hours * HOUR_S:
                return
            yield block

    def drop_unread(self) -> None:
        """The tool is silent here."""


def listen(hours: float, engine: str, within_s: float, folder: Path) -> Day:
    """The whole day, a visit an hour."""
    house = House(Settings(data_folder=folder, encrypted=False, spoken=False))
    # Sound comes in here as fast as it is taken, so that an engine is behind with its answer; one
    # that was replaced would begin again with little memory.
    guard = GuardedRecogniser(Patience(answer_s=MOST_WAIT_S))
    guard.load(scripted if engine == "scripted" else partial(house.recogniser, engine))
    hearing = Hearing(guard, house.phrases, Bars())
    (child,) = multiprocessing.active_children()
    card = Card(hours, minute(np.random.default_rng(0)))
    day = Day(card, child.pid or 0, time.monotonic() + within_s)

    def newly_found() -> Source:
        look_again(card)
        return Microphone(sounddevice=card)

    store = house.store()
    with Returning(newly_found, Waiting(clock=card.clock, sleep=card.sleep)) as source:
        still_open = Open(source, card)
        while card.played_s < card.hours * HOUR_S:
            _visit(house, store, hearing, day, still_open)
    store.close()
    return day


def _visit(house: House, store: Store, hearing: Hearing, day: Day, source: Open) -> None:
    began_s = day.card.played_s
    visit = open_visit(store, "C-014", NINE + timedelta(seconds=began_s), anew=True).visit

    def level(block: Block, state: State, speaking: bool) -> None:
        day.level(block, state, speaking)
        if time.monotonic() >= day.over_at_s:
            day.card.hours = min(day.card.hours, day.card.played_s / HOUR_S)
        if day.card.played_s - began_s >= VISIT_S:
            live.keys.put("stop")

    edges = Edges(
        hearing=hearing,
        store=store,
        voice=PrintedVoice(lambda text: None),
        clock=lambda place_s: NINE + timedelta(seconds=place_s),
        watch=day.watch,
        level=level,
        prior=house.prior,
        remark=house.remark,
        deaf=False,
    )
    live = Live(state_of(store, visit, house.setting), edges, Endpointer())
    live.run(source)


def verdict(day: Day) -> list[str]:
    """Print the figures; what falls short."""
    hours = day.card.hours
    _, *then = next(row for row in day.used if row[0] >= min(1.0, hours) * HOUR_S / 2)
    _, *now = day.used[-1]
    for name, a, b in zip(("this process", "the engine's"), then, now, strict=True):
        print(f"memory of {name}: {a.memory_mb:.1f} MB, at the end {b.memory_mb:.1f} MB")
    grown = [b.memory_mb - a.memory_mb for a, b in zip(then, now, strict=True)]
    quarters = ((0, hours * 900), (hours * 2700, hours * HOUR_S + 1))
    first, last = (
        [ms for at_s, ms in day.delays_ms if low <= at_s < high] for low, high in quarters
    )
    work = [day.work(low, high) for low, high in quarters]
    print(f"computed for a second of sound, s: {work[0]:.3f} in the first quarter of the day,")
    print(f"  {work[1]:.3f} in the last")
    delays = [statistics.median(ms) if ms else 0.0 for ms in (first, last)]
    print(f"from endpoint to read-back, ms: {delays[0]:.1f} in the first quarter of the day,")
    print(f"  {delays[1]:.1f} in the last (medians of {len(first)} and {len(last)})")
    total_s, known_s = day.card.played_s, day.heard_s + day.missing_s
    print(f"{total_s:.1f} s of sound: {day.heard_s:.1f} heard, {day.missing_s:.1f} told as missing")
    leaves = sum(1 for m in day.card.met if m in _LEAVING)
    print(f"{len(day.card.met)} mishaps, {leaves} of them the device gone: said {day.gone} times,")
    print(f"  back {day.back} times; {day.saved} records saved, {day.trouble} troubles")
    checks = {
        "memory grew": max(grown) >= MOST_GROWTH_MB,
        "the delay grew": hours >= 1
        and delays[1] > 1.5 * delays[0] + 5
        and work[1] > 1.5 * work[0],
        "sound went missing unsaid": abs(total_s - known_s) > SAME_S * (1 + len(day.card.met)),
        "a device that came back was not heard": not day.gone == day.back == leaves,
        "nothing was saved": day.saved == 0,
        "something else went wrong": day.trouble > 0,
    }
    return [what for what, is_so in checks.items() if is_so]


def main() -> int:
    """Run it, print the figures; 1 when something fell short."""
    parser = argparse.ArgumentParser(description="Listen to a day of work.")
    parser.add_argument("--hours", type=float, default=8.0)
    parser.add_argument("--engine", choices=("scripted", "pocketsphinx"), default="scripted")
    parser.add_argument("--within", type=float, default=1e6, metavar="MINUTES")
    asked = parser.parse_args()
    began_s = time.monotonic()
    with tempfile.TemporaryDirectory(prefix="hours-") as folder:
        day = listen(asked.hours, asked.engine, asked.within * 60, Path(folder))
    took_s = time.monotonic() - began_s
    print(f"{day.card.hours:.2f} hours of sound in {took_s:.0f} s, engine {asked.engine}")
    short = verdict(day)
    print("nothing fell short" if not short else f"fell short: {'; '.join(short)}")
    return bool(short)


if __name__ == "__main__":
    sys.exit(main())
