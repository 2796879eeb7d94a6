"""The trees of whole utterances, built from the data of a language.

A `Phrases` holds one tree for each thing the dialogue may wait for, all made of the same parts.
"""

from functools import cached_property
from types import MappingProxyType
from typing import Literal, get_args

from voicelog.grammar.automaton import Weights
from voicelog.grammar.hypothesis import Expect
from voicelog.grammar.language import LanguageData
from voicelog.grammar.movement_trees import MovementTrees
from voicelog.grammar.numbers import number
from voicelog.grammar.parse import COMMAND, KIND
from voicelog.grammar.slot_trees import SlotTrees, chosen
from voicelog.grammar.template import (
    Choice,
    Free,
    Mark,
    Node,
    Optional,
    Rule,
    Sequence,
    one_of,
)

CORRECTION = "correction"
_GO_AHEAD = "go ahead"
NAME = "name"
TEXT = "text"
_NUMBERS = 2
"""A trial has one pain and one range; they stand first among its results. In a loud room "pain two"
was heard as a second range."""
_DOSES = 3
"""The same for the dose of a drill, of which sets, hold and effort stand first."""


class Phrases:
    """All that may be said in one language, as trees."""

    def __init__(self, language: LanguageData) -> None:
        self.language = language
        self._parts = SlotTrees(language)
        self._movement = MovementTrees(language, self._parts)

    @cached_property
    def trees(self) -> dict[Expect, Node]:
        """The tree for each thing the dialogue may wait for."""
        dictations: tuple[Node, ...] = (self.trial, self.drill, self.fault, self.cue, self.note)
        commands: tuple[Node, ...] = (self.command,)
        if CORRECTION in self.language.commands:
            commands = (*commands, self.correction)
        # Only who is standing by is told to go ahead, and it sounds like a number.
        while_asked = (self._commands(CORRECTION, _GO_AHEAD), *commands[1:])
        answers = {
            "answer": self.answer,
            "pain": Choice((self.result, self._bare("pain"))),
            "range": Choice((self.result, self._bare("range_deg"))),
        }
        trees: dict[Expect, Node] = {
            "any": Choice((*dictations, *commands)),
            "record": Choice(dictations),
            "command": Choice(commands),
        }
        for expect in get_args(Expect):
            if expect in answers:
                trees[expect] = Choice((answers[expect], *dictations, *while_asked))
        return trees

    @cached_property
    def weights(self) -> Weights:
        """How usual the rules and words of these trees are, as the language says."""
        usual = self.language.usual
        return Weights(MappingProxyType(usual.rules), MappingProxyType(usual.words))

    def _bare(self, slot: Literal["pain", "range_deg"]) -> Node:
        """Only the number of a measure, once it was asked for."""
        measure = self.language.measures[slot]
        one = number(self.language.numbers, slot, measure.low, measure.high)
        hesitating = Optional(Rule("bare_filler", one_of(self.language.fillers)))
        return Rule(f"bare_{slot}", Mark(KIND, "record", Sequence((hesitating, one))))

    @cached_property
    def trial(self) -> Node:
        """A trial: movement and phase in either order, then results in any order.

        It must say enough to be told from talk: a whole movement with its phase, or with a result;
        a phase with a result; or an outcome. "Gap" or "left foot" alone is no dictation.
        """
        whole, part = self._movement.whole("movement"), self._movement.part("movement")
        gap, phase = self._parts.gap, self._parts.phase
        results = self._parts.spaced(self._parts.results, _NUMBERS)
        after_whole = self._parts.spaced((phase, *self._parts.results), 1 + _NUMBERS)
        said = Choice(
            (
                Sequence((whole, gap, phase, Optional(results))),
                Sequence((phase, gap, whole, Optional(results))),
                Sequence((phase, Optional(Sequence((gap, part))), results)),
                Sequence((part, gap, phase, results)),
                Rule("no_phase", Sequence((whole, after_whole))),
                Sequence((self._parts.outcome, Optional(results))),
            )
        )
        return Rule("trial", Mark(KIND, "record", Sequence((gap, said))))

    @cached_property
    def drill(self) -> Node:
        """An exercise with its dose."""
        parts = (
            self._opened("drill"),
            self._parts.gap,
            Optional(self._parts.side),
            chosen(NAME, self.language.drills, "drill_name"),
            Optional(self._parts.spaced((*self._parts.doses, self._parts.side), _DOSES)),
        )
        return Rule("drill", Sequence(parts))

    @cached_property
    def fault(self) -> Node:
        """A fault seen in the set-up."""
        named = chosen(NAME, self.language.faults, "fault_name")
        return Rule("fault", Sequence((self._opened("fault"), self._parts.gap, named)))

    @cached_property
    def cue(self) -> Node:
        """What the client was told."""
        named = chosen(NAME, self.language.cues, "cue_name")
        return Rule("cue", Sequence((self._opened("cue"), self._parts.gap, named)))

    @cached_property
    def note(self) -> Node:
        """Free words after the word that opens a note."""
        return Rule("note", Sequence((self._opened("note"), Free(TEXT))))

    @cached_property
    def moved(self) -> Node:
        """What was moved and no more, as it is carried over; said alone it is no dictation."""
        return Mark(KIND, "record", self._movement.moved("moved"))

    def _opened(self, kind: str) -> Node:
        return Mark(KIND, kind, one_of(self.language.kinds[kind]))  # type: ignore[index]

    @cached_property
    def command(self) -> Node:
        """A command word as an utterance of its own."""
        return self._commands(CORRECTION)

    def _commands(self, *without: str) -> Node:
        alone = {n: f for n, f in self.language.commands.items() if n not in without}
        return Mark(KIND, "command", chosen(COMMAND, alone))

    @cached_property
    def _any_slots(self) -> Node:
        """One or more slots in any order."""
        parts = (
            self._movement.moved("change"),
            self._parts.phase,
            *self._parts.results,
            *self._parts.doses,
        )
        return Rule("slots", self._parts.spaced(parts))

    @cached_property
    def answer(self) -> Node:
        """Slots that were asked for."""
        return Rule("answer", Mark(KIND, "record", self._any_slots))

    @cached_property
    def result(self) -> Node:
        """What was found, once a number was asked for: that or how it ended, and more if she likes.

        Other slots alone are no answer, or a number would be taken for one of them too often.
        """
        more = Optional(self._parts.spaced(self._parts.results, _NUMBERS))
        said = Sequence((self._parts.gap, Choice(self._parts.measured), more))
        return Rule("result", Mark(KIND, "record", said))

    @cached_property
    def correction(self) -> Node:
        """ "Correction" and the right values.

        The names are a branch of their own: a new one leaves the large one of the slots as it was.
        """
        opened = Mark(COMMAND, CORRECTION, one_of(self.language.commands[CORRECTION]))
        named = [
            chosen(f"{kind}_{NAME}", names)
            for kind, names in (
                ("drill", self.language.drills),
                ("fault", self.language.faults),
                ("cue", self.language.cues),
            )
        ]
        return Choice(
            tuple(
                Rule(name, Mark(KIND, "command", Sequence((opened, self._parts.gap, said))))
                for name, said in (
                    ("correction", self._any_slots),
                    ("correction_name", Choice(tuple(named))),
                )
            )
        )
