"""The tree of everything that can be said, built from the data of a language.

A `Phrases` holds one tree for each thing the dialogue may wait for, all made of the same parts.
"""

from functools import cached_property
from types import MappingProxyType
from typing import get_args

from voicelog.grammar.automaton import Weights
from voicelog.grammar.hypothesis import Expect
from voicelog.grammar.language import LanguageData, Measure, Names
from voicelog.grammar.numbers import digit_row, number
from voicelog.grammar.template import (
    Choice,
    Free,
    Mark,
    Node,
    Optional,
    Repeat,
    Rule,
    Sequence,
    one_of,
    phrase,
)

KIND = "kind"
COMMAND = "command"
CORRECTION = "correction"
NAME = "name"
TEXT = "text"


class Phrases:
    """All that may be said in one language, as trees."""

    def __init__(self, language: LanguageData) -> None:
        self.language = language
        self._numbers = language.numbers

    @cached_property
    def trees(self) -> dict[Expect, Node]:
        """The tree for each thing the dialogue may wait for."""
        dictations: tuple[Node, ...] = (self.trial, self.drill, self.fault, self.cue, self.note)
        commands: tuple[Node, ...] = (self.command,)
        if CORRECTION in self.language.commands:
            commands = (*commands, self.correction)
        answers = {
            "answer": self.answer,
            "pain": Choice((self.answer, self._bare("pain"))),
            "range": Choice((self.answer, self._bare("range_deg"))),
        }
        trees: dict[Expect, Node] = {
            "any": Choice((*dictations, *commands)),
            "record": Choice(dictations),
            "command": Choice(commands),
        }
        for expect in get_args(Expect):
            if expect in answers:
                trees[expect] = Choice((answers[expect], *dictations, *commands))
        return trees

    @cached_property
    def weights(self) -> Weights:
        """How usual the rules and words of these trees are, as the language says."""
        usual = self.language.usual
        return Weights(MappingProxyType(usual.rules), MappingProxyType(usual.words))

    # Small parts

    @cached_property
    def _gap(self) -> Node:
        return Optional(Rule("filler", one_of(self.language.fillers)))

    def _chosen(self, slot: str, names: Names, rule: str = "") -> Node:
        return Rule(rule or slot, Choice(tuple(Mark(slot, n, one_of(f)) for n, f in names.items())))

    def _measured(self, slot: str, measure: Measure) -> Node:
        if measure.row:
            one = digit_row(self._numbers, slot, measure.row)
        else:
            one = number(self._numbers, slot, measure.low, measure.high)
        numbers: dict[str, Node] = {"NUMBER": Rule(f"{slot}_number", one)}
        if measure.reps:
            reps = number(self._numbers, "reps", measure.reps.low, measure.reps.high)
            numbers["REPS"] = Rule("reps_number", reps)
        options = [self._around_numbers(spoken, numbers) for spoken in measure.spoken]
        options += [Mark(slot, value, phrase(spoken)) for spoken, value in measure.fixed.items()]
        return Rule(slot, Choice(tuple(options)))

    def _around_numbers(self, spoken: str, numbers: dict[str, Node]) -> Node:
        """ "pain NUMBER" as a tree; a filler may stand before a number inside a phrase."""
        parts: list[Node] = []
        for word in spoken.split():
            if word not in numbers:
                parts.append(phrase(word))
            elif parts:
                parts += [self._gap, numbers[word]]
            else:
                parts.append(numbers[word])
        return Sequence(tuple(parts))

    def _bare(self, slot: str) -> Node:
        measure = self.language.measures["pain" if slot == "pain" else "range_deg"]
        said = Sequence((self._gap, number(self._numbers, slot, measure.low, measure.high)))
        return Rule(f"bare_{slot}", Mark(KIND, "record", said))

    def _spaced(self, options: tuple[Node, ...]) -> Node:
        """Any of the options once or more often, in any order, with fillers between."""
        return Repeat(Sequence((self._gap, Choice(options))))

    # Slots of a trial

    @cached_property
    def _side(self) -> Node:
        return self._chosen("side", self.language.slots.side)

    @cached_property
    def _manner(self) -> Node:
        return self._chosen("manner", self.language.slots.manner)

    @cached_property
    def _phase(self) -> Node:
        return self._chosen("phase", self.language.slots.phase)

    def _motion_at(self, joint: str) -> Node:
        named = {m: self.language.said_at(joint, m) for m in self.language.joints[joint].motions}
        return Choice(tuple(Mark("motion", name, one_of(said)) for name, said in named.items()))

    @cached_property
    def _any_motion(self) -> Node:
        used = {m for joint in self.language.joints.values() for m in joint.motions}
        return self._chosen("motion", {n: f for n, f in self.language.motions.items() if n in used})

    @cached_property
    def _joint(self) -> Node:
        joints = self.language.joints.items()
        return Rule("joint", Choice(tuple(Mark("joint", n, one_of(j.spoken)) for n, j in joints)))

    @cached_property
    def _joint_motion(self) -> Node:
        """A joint with one of its own motions, the motion before or after it."""
        pairs: list[Node] = []
        for name, joint in self.language.joints.items():
            said = Mark("joint", name, one_of(joint.spoken))
            motion = Sequence((Optional(self._manner), self._motion_at(name)))
            pairs.append(Sequence((said, motion)))
        return Rule("joint_motion", Choice(tuple(pairs)))

    def _moved(self, name: str) -> Node:
        """What was moved: side, joint and motion in the usual orders, or the part that changed.

        The parts stand under a rule called `name`; its less usual orders are rules of their own, so
        that they can weigh less in a trial, but not where any part is as likely as the whole."""
        return Rule(name, Choice((self._whole_movement(name), self._part_of_movement(name))))

    def _whole_movement(self, name: str) -> Node:
        """Joint and motion, with or without a side."""
        side, manner = Optional(self._side), Optional(self._manner)
        usual = Sequence((side, manner, self._joint_motion, side))
        motion_first: list[Node] = []
        for joint_name, joint in self.language.joints.items():
            said = Mark("joint", joint_name, one_of(joint.spoken))
            motion_first.append(Sequence((self._motion_at(joint_name), side, said)))
        return Choice((usual, Rule(f"{name}_motion_first", Choice(tuple(motion_first)))))

    def _part_of_movement(self, name: str) -> Node:
        """Only the joint, the motion or the side; the rest carries over."""
        side, manner = Optional(self._side), Optional(self._manner)
        part = Sequence((side, manner, Choice((self._any_motion, self._joint))))
        return Rule(f"{name}_part", Choice((part, self._side)))

    @cached_property
    def _outcome(self) -> Node:
        return self._chosen("outcome", self.language.slots.outcome)

    @cached_property
    def _results(self) -> tuple[Node, ...]:
        slots, measures = self.language.slots, self.language.measures
        return (
            self._measured("pain", measures["pain"]),
            self._measured("range_deg", measures["range_deg"]),
            self._measured("onset_deg", measures["onset_deg"]),
            self._chosen("quality", slots.quality),
            self._chosen("end_feel", slots.end_feel),
            self._outcome,
            self._chosen("position", slots.position),
            self._chosen("instrument", slots.instrument),
            self._manner,
        )

    # Whole utterances

    @cached_property
    def trial(self) -> Node:
        """A trial: movement and phase in either order, then results in any order.

        It must say enough to be told from talk: a whole movement with its phase, or with a result;
        a phase with a result; or an outcome. "Gap" or "left foot" alone is no dictation.
        """
        whole, part = self._whole_movement("movement"), self._part_of_movement("movement")
        results = self._spaced(self._results)
        after_whole = self._spaced((*self._results, self._phase))
        gap, phase = self._gap, self._phase
        said = Choice(
            (
                Sequence((whole, gap, phase, Optional(results))),
                Sequence((phase, gap, whole, Optional(results))),
                Sequence((phase, Optional(Sequence((gap, part))), results)),
                Sequence((part, gap, phase, results)),
                Rule("no_phase", Sequence((whole, after_whole))),
                Sequence((self._outcome, Optional(results))),
            )
        )
        return Rule("trial", Mark(KIND, "record", Sequence((gap, said))))

    @cached_property
    def _doses(self) -> tuple[Node, ...]:
        measures, slots = self.language.measures, self.language.slots
        measured = [
            self._measured(name, measures[name])
            for name in ("sets_reps", "hold_s", "effort", "tempo")
            if name in measures
        ]
        lists = {"band": slots.band, "plane": slots.plane, "direction": slots.direction}
        chosen = [self._chosen(name, names) for name, names in lists.items() if names]
        return (*measured, *chosen)

    @cached_property
    def drill(self) -> Node:
        """An exercise with its dose."""
        parts = (
            self._opened("drill"),
            self._gap,
            Optional(self._side),
            self._chosen(NAME, self.language.drills, "drill_name"),
            Optional(self._spaced((*self._doses, self._side))),
        )
        return Rule("drill", Sequence(parts))

    @cached_property
    def fault(self) -> Node:
        """A fault seen in the set-up."""
        named = self._chosen(NAME, self.language.faults, "fault_name")
        return Rule("fault", Sequence((self._opened("fault"), self._gap, named)))

    @cached_property
    def cue(self) -> Node:
        """What the client was told."""
        named = self._chosen(NAME, self.language.cues, "cue_name")
        return Rule("cue", Sequence((self._opened("cue"), self._gap, named)))

    @cached_property
    def note(self) -> Node:
        """Free words after the word that opens a note."""
        return Rule("note", Sequence((self._opened("note"), Free(TEXT))))

    def _opened(self, kind: str) -> Node:
        return Mark(KIND, kind, one_of(self.language.kinds[kind]))  # type: ignore[index]

    @cached_property
    def command(self) -> Node:
        """A command word as an utterance of its own."""
        alone = {n: f for n, f in self.language.commands.items() if n != CORRECTION}
        return Mark(KIND, "command", self._chosen(COMMAND, alone))

    @cached_property
    def _slots(self) -> Node:
        """One or more slots in any order."""
        parts = (self._moved("change"), self._phase, *self._results, *self._doses)
        return Rule("slots", self._spaced(parts))

    @cached_property
    def answer(self) -> Node:
        """Slots that were asked for."""
        return Rule("answer", Mark(KIND, "record", self._slots))

    @cached_property
    def correction(self) -> Node:
        """ "Correction" and the right values.

        The names are a branch of their own: a new one leaves the large one of the slots as it was.
        """
        opened = Mark(COMMAND, CORRECTION, one_of(self.language.commands[CORRECTION]))
        named = [
            self._chosen(f"{kind}_{NAME}", names)
            for kind, names in (
                ("drill", self.language.drills),
                ("fault", self.language.faults),
                ("cue", self.language.cues),
            )
        ]
        return Choice(
            tuple(
                Rule(name, Mark(KIND, "command", Sequence((opened, self._gap, said))))
                for name, said in (
                    ("correction", self._slots),
                    ("correction_name", Choice(tuple(named))),
                )
            )
        )
