"""Targets of fuzzing that take words: the spoken language, the dialogue, typed shorthand."""

import sys
from collections.abc import Callable, Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path
from random import Random
from typing import get_args

ROOT = Path(__file__).parents[2]
sys.path.insert(0, str(ROOT))

from tests.reliability.mutation import damaged_words  # noqa: E402
from voicelog.corrections.typed import applied  # noqa: E402
from voicelog.dialogue.actions import Action, Drop, Keep, Save  # noqa: E402
from voicelog.dialogue.events import (  # noqa: E402
    Event,
    Heard,
    KeyPressed,
    NotStored,
    SoundLost,
    Stored,
)
from voicelog.dialogue.state import State  # noqa: E402
from voicelog.dialogue.step import step  # noqa: E402
from voicelog.grammar.hypothesis import Expect, HeardWord, Hypothesis, Reading  # noqa: E402
from voicelog.grammar.interpret import Bars, Interpretation, interpret  # noqa: E402
from voicelog.grammar.parse import parse  # noqa: E402
from voicelog.grammar.template import vocabulary  # noqa: E402
from voicelog.records.entry import Evidence  # noqa: E402
from voicelog.settings.fields import Settings  # noqa: E402
from voicelog.shorthand.reader import Shorthand  # noqa: E402
from voicelog.store.memory import MemoryStore  # noqa: E402
from voicelog.wiring import House  # noqa: E402

Run = Callable[[Random], None]
NINE = datetime(2026, 3, 2, 9, 0, tzinfo=UTC)
SPOKEN = (
    "left ankle dorsiflexion baseline twelve degrees pain six",
    "right shoulder internal rotation gap trial pain four",
    "gap trial ninety five degrees pain free tight end feel firm",
    "retest pain starts at one hundred and twenty degrees",
    "drill banded heel glide three sets of eight hold thirty seconds red band effort six",
    "correction pain four left",
    "note",
    "affirm",
    "negative",
    "disregard",
    "read back",
    "stand by",
    "go ahead",
    "close visit",
    "four",
)
TYPED = (
    "L ankle DF baseline 12deg pain 6/10",
    "R shld IR gap 95° 4/10 pulling, firm EF",
    "retest PF 110-120 deg AROM supine",
    "banded heel glide 3x10, hold 30s, RPE 6",
    "note: guarded at first; pain 4 on the stairs, L4 numb",
)


def expects() -> tuple[Expect, ...]:
    """All that the dialogue may wait for."""
    return get_args(Expect)


def spoken_parser(folder: Path) -> Run:
    """Any words at all, for each thing that may be waited for."""
    trees = House(Settings(data_folder=folder)).phrases.trees
    words = sorted(set().union(*(vocabulary(tree) for tree in trees.values())))

    def run(chance: Random) -> None:
        text = damaged_words(chance.choice(SPOKEN), words, chance)
        parse(trees[chance.choice(expects())], tuple(text.split()))

    return run


class _Talk:
    """A visit in which anything may be heard, in any order."""

    def __init__(self, house: House) -> None:
        self._house = house
        trees = house.phrases.trees
        self._words = sorted(set().union(*(vocabulary(tree) for tree in trees.values())))
        self._visit = MemoryStore().open_visit("C-014", NINE)
        self._state = State(house.setting(self._visit))
        self._count = 0

    def __call__(self, chance: Random) -> None:
        self._count += 1
        if self._count % 500 == 0 or self._state.mode == "ended":
            self._state = State(self._house.setting(self._visit))
        events: list[Event] = [self._event(chance, NINE + timedelta(seconds=self._count))]
        while events:
            self._state, actions = step(self._state, events.pop(0))
            events += _answers(actions, chance)

    def _event(self, chance: Random, at: datetime) -> Event:
        match chance.randrange(20):
            case 0:
                names = ("affirm", "negative", "stand by", "go ahead")
                return KeyPressed(chance.choice(names), at)  # type: ignore[arg-type]
            case 1:
                return SoundLost()
            case _:
                return self._heard(chance, at)

    def _heard(self, chance: Random, at: datetime) -> Event:
        readings = tuple(self._reading(chance, n) for n in range(chance.randint(0, 3)))
        sure = chance.choice((0.0, 0.5, 0.9, 0.99, 1.0))
        hypothesis = Hypothesis(readings, sure, "scripted", "script", 0.0)
        expect = self._state.expect
        meant = interpret(
            hypothesis,
            self._house.phrases.trees[expect],
            Bars(),
            self._house.prior(self._state),
            expect=expect,
        )
        return Heard(meant, _evidence(meant), f"e{self._count}", at)

    def _reading(self, chance: Random, number: int) -> Reading:
        text = damaged_words(chance.choice(SPOKEN), self._words, chance)
        return Reading(
            tuple(
                HeardWord(word, 100 * n, 100 * n + 90, chance.choice((0.0, 0.5, 0.99, 1.0)))
                for n, word in enumerate(text.split())
            ),
            -float(number),
        )


def _evidence(meant: Interpretation) -> Evidence:
    return Evidence(
        text=meant.text,
        confidence=meant.confidence,
        slot_confidence=dict(meant.slot_confidence),
        engine="scripted",
        model="script",
        grammar_version="1",
    )


def _answers(actions: tuple[Action, ...], chance: Random) -> Iterator[Event]:
    for action in actions:
        if isinstance(action, Keep | Save | Drop):
            entry = action.entry
            fails = chance.random() < 0.1
            yield NotStored(entry, "The disk is full.") if fails else Stored(entry)


def dialogue(folder: Path) -> Run:
    """What is heard, weighed and answered, in one long conversation."""
    return _Talk(House(Settings(data_folder=folder)))


def shorthand(folder: Path) -> Run:
    """Any line typed, read alone, put into a record, and looked through as a free note."""
    language = House(Settings(data_folder=folder)).language
    reader = Shorthand(language)
    words = sorted({word for line in (*TYPED, *SPOKEN) for word in line.split()})

    def run(chance: Random) -> None:
        text = damaged_words(chance.choice((*TYPED, *SPOKEN)), words, chance)
        if chance.random() < 0.2:
            reader.suggest(text)
        else:
            applied(text, reader.read(text), None, language)

    return run
